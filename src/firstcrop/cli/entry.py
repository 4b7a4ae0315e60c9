"""Run the command line: arguments to an exit code, with no traceback for anybody's mistake."""

from __future__ import annotations

import os
import sys
from contextlib import suppress

import click

from firstcrop.cli.commands import group
from firstcrop.cli.exits import Exit
from firstcrop.cli.reviewing import review

TRACEBACK = "FIRSTCROP_TRACEBACK"

group.add_command(review)


def run(arguments: list[str] | None = None) -> int:
    """The exit code of one call of `firstcrop`."""
    _tolerant_output()
    try:
        code = group.main(args=arguments, prog_name="firstcrop", standalone_mode=False)
        sys.stdout.flush()
        return int(code or Exit.FINE)
    except click.ClickException as error:
        error.show()
        return int(Exit.USAGE)
    except (click.Abort, KeyboardInterrupt):
        print("stopped", file=sys.stderr)
        return 130
    except BrokenPipeError:
        _abandon_output()
        return int(Exit.FINE)
    except Exception as error:
        return _bug(error)


def _tolerant_output() -> None:
    """A terminal that cannot show a character shows a question mark instead of failing."""
    for stream in (sys.stdout, sys.stderr):
        with suppress(AttributeError, ValueError):
            stream.reconfigure(errors="replace")  # type: ignore[union-attr]


def _abandon_output() -> None:
    """Whoever read our output has gone: leave quietly, also at interpreter shutdown."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _bug(error: Exception) -> int:
    if os.environ.get(TRACEBACK):
        raise error
    kind = type(error).__name__
    print(f"firstcrop failed, and this is a bug in it, not in your sheet: {kind}: {error}",
          file=sys.stderr)  # fmt: skip
    print(f"Set {TRACEBACK}=1 to see where.", file=sys.stderr)
    return int(Exit.BUG)
