"""What a formula or a name is screened for: explosive groups, peroxide formers."""

from __future__ import annotations

import re
from functools import cache

from firstcrop.bank.tables import read_table


@cache
def explosive_groups() -> tuple[tuple[str, re.Pattern[str]], ...]:
    """(group in words, pattern over a formula) of `explosive_groups.tsv`."""
    rows = read_table("explosive_groups")
    return tuple((row.text("group"), re.compile(row.text("pattern"))) for row in rows)


@cache
def peroxide_formers() -> tuple[str, ...]:
    """Words of names, lower case."""
    return tuple(row.text("word") for row in read_table("peroxide_formers"))
