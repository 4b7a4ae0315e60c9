"""What is known of how substances keep: in a closed bottle, and in damp or dry air."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from types import MappingProxyType

from firstcrop.bank.records import Obtained
from firstcrop.bank.tables import read_table
from firstcrop.problems import Place


@dataclass(frozen=True, slots=True)
class Keeping:
    """How a substance keeps: the name of a rule, `keeps`, or `unknown`."""

    substance: str
    rule: str
    note: str
    source: str
    obtained: Obtained | None
    place: Place = field(default=Place(0), compare=False)


@dataclass(frozen=True, slots=True)
class Damp:
    """Over a saturated solution the relative humidity is a exp(b/T) %, between low and high K."""

    solid: str
    a: float
    b: float
    low: float
    high: float
    source: str

    def humidity(self, temperature: float) -> float:
        """Relative humidity (0 to 1) above which the salt runs, at a temperature in K; outside
        the range of the fit that of its nearer end."""
        inside = min(max(temperature, self.low), self.high)
        return self.a * math.exp(self.b / inside) / 100.0


@cache
def load_keeping() -> Mapping[str, Keeping]:
    """Every row of `ageing.tsv` by substance."""
    return MappingProxyType(
        {
            row.text("substance"): Keeping(
                row.text("substance"),
                row.text("rule"),
                row.text("note"),
                row.text("source"),
                Obtained(row.text("obtained")) if row.text("obtained") else None,
                row.place,
            )
            for row in read_table("ageing")
        }
    )


@cache
def load_damp() -> Mapping[str, Damp]:
    """Every row of `humidity.tsv` by substance."""
    found = {}
    for row in read_table("humidity"):
        a, b, low, high = (float(row.text(name)) for name in ("a", "b", "low", "high"))
        found[row.text("substance")] = Damp(
            row.text("solid"), a, b, low + 273.15, high + 273.15, row.text("source")
        )
    return MappingProxyType(found)
