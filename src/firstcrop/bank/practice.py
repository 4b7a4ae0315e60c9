"""Values of working at the bench (`data/practice.tsv`): no chemistry table holds them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from firstcrop.bank.records import Datum, Obtained
from firstcrop.bank.tables import read_table


@dataclass(frozen=True, slots=True)
class Practice:
    """A bench value and the interval that holds nine cases in ten."""

    key: str
    low: float
    high: float
    datum: Datum

    @property
    def value(self) -> float:
        """The value, in the unit of its datum."""
        return self.datum.value


@cache
def load_practice(table: str = "practice") -> Mapping[str, Practice]:
    """Every row of the table by key; other tables of the same columns may be named."""
    found: dict[str, Practice] = {}
    for row in read_table(table):
        low, high = float(row.text("low")), float(row.text("high"))
        value = float(row.text("value"))
        datum = Datum(
            value,
            row.text("unit"),
            (high - low) / 2.0,
            Obtained(row.text("obtained")),
            row.text("source"),
            row.text("note"),
            row.text("label"),
            row.place,
        )
        found[row.text("key")] = Practice(row.text("key"), low, high, datum)
    return MappingProxyType(found)


@dataclass(frozen=True, slots=True)
class HeatMeans:
    """A way of moving heat: surroundings in K (None: the room), rows of the practice table."""

    kind: str
    temperature: float | None
    coefficient: str
    power: str


@cache
def load_means() -> Mapping[str, HeatMeans]:
    """Every way of heating and cooling by its name in the sheet language."""
    return MappingProxyType(
        {
            row.text("kind"): HeatMeans(
                row.text("kind"),
                row.number("temperature"),
                row.text("coefficient"),
                row.text("power"),
            )
            for row in read_table("means")
        }
    )


@cache
def load_indicators() -> Mapping[str, float]:
    """pH at which each acid-base indicator is taken to have turned, by a word of its name."""
    return MappingProxyType(
        {row.text("name"): float(row.text("ph")) for row in read_table("indicators")}
    )


@cache
def load_airing(what: str) -> frozenset[str]:
    """Keys of what does so in air: a solute that is "volatile", a hydrate that "effloresces"."""
    return frozenset(row.text("key") for row in read_table("airing") if row.text("what") == what)
