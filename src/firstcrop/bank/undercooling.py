"""How far below saturation the crystals of each solid begin (`data/undercooling.tsv`)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from firstcrop.bank.practice import load_practice
from firstcrop.bank.records import Obtained
from firstcrop.bank.tables import read_table


@dataclass(frozen=True, slots=True)
class Undercooling:
    """K below saturation: seeded (None: not known), and without a seed with its 90 % bounds."""

    seeded: float | None
    bare: float
    low: float
    high: float
    obtained: Obtained
    source: str
    slow: bool = False  # known to need a seed


def undercooling_of(solid: str) -> Undercooling:
    """The row of a solid, what is usual where there is none."""
    return load_undercooling().get(solid, _usual())


@cache
def load_undercooling() -> Mapping[str, Undercooling]:
    """Every solid that has a row."""
    usual, found = _usual(), {}
    for row in read_table("undercooling"):
        bare, low, high = (row.number(h) for h in ("bare", "bare_low", "bare_high"))
        found[row.text("solid")] = Undercooling(
            row.number("seeded"),
            usual.bare if bare is None else bare,
            usual.low if low is None else low,
            usual.high if high is None else high,
            Obtained(row.text("obtained")),
            row.text("source"),
            bare is not None,
        )
    return MappingProxyType(found)


def _usual() -> Undercooling:
    lag = load_practice()["undercooling"]
    return Undercooling(None, lag.value, lag.low, lag.high, lag.datum.obtained, lag.datum.source)
