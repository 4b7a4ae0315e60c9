"""Exit codes, the same for every command."""

from __future__ import annotations

from enum import IntEnum


class Exit(IntEnum):
    """What the command found; documented in the README and in `firstcrop --help`."""

    FINE = 0  # no errors in the sheet (warnings, broken limits and cautions may be shown)
    ERRORS = 1  # the sheet has errors: some number could not be given
    USAGE = 2  # the command line or a file name is wrong
    REFUSED = 3  # the sheet asks for something firstcrop will not plan
    BUG = 70  # firstcrop itself failed
