"""The words of the cautions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from firstcrop.bank.records import Obtained
from firstcrop.bank.tables import read_table
from firstcrop.problems import Severity


@dataclass(frozen=True, slots=True)
class Wording:
    """One kind of caution: templates with {facts} to fill in."""

    key: str
    severity: Severity
    message: str
    why: str
    remedy: str
    source: str
    obtained: Obtained


@cache
def load_wordings() -> Mapping[str, Wording]:
    """Every row of `cautions.tsv` by key."""
    return MappingProxyType(
        {
            row.text("key"): Wording(
                row.text("key"),
                Severity(row.text("severity")),
                row.text("message"),
                row.text("why"),
                row.text("remedy"),
                row.text("source"),
                Obtained(row.text("obtained")),
            )
            for row in read_table("cautions")
        }
    )
