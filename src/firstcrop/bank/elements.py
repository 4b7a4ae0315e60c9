"""Standard atomic weights of the elements (`data/elements.tsv`), IUPAC/CIAAW 2021.

Prohaska et al., Pure Appl. Chem. 94 (2022) 573. An interval [a, b] is read as (a + b) / 2 with
standard uncertainty (b - a) / √12 (van der Veen et al., Pure Appl. Chem. 93 (2021) 629); for Li,
Ar and Pb, whose intervals rare materials stretch to one side, the abridged value counts. A ± is
the half-width of a rectangle (Possolo et al., Pure Appl. Chem. 90 (2018) 395): standard
uncertainty ± / √3, 90 % half-width 0.9 ±.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from firstcrop.bank.records import Datum, Obtained
from firstcrop.bank.tables import Row, read_table
from firstcrop.chem.weights import Weight, Weights

_GRAM = 1e-3


@dataclass(frozen=True, slots=True)
class Element:
    """One element: `weight` in kg/mol; `interval` is the printed range, kg/mol, if there is one."""

    symbol: str
    name: str
    number: int
    weight: Datum
    uncertainty: float  # kg/mol, standard
    abridged: float  # kg/mol, five figures
    interval: tuple[float, float] | None = None


@cache
def load_elements() -> tuple[Element, ...]:
    """Every element that has a standard atomic weight, by atomic number."""
    return tuple(_element(row) for row in read_table("elements"))


@cache
def load_weights() -> Weights:
    """Symbol to atomic weight with its standard uncertainty, for `chem.weights.molar_mass`."""
    return MappingProxyType(
        {e.symbol: Weight(e.weight.value, e.uncertainty) for e in load_elements()}
    )


def _element(row: Row) -> Element:
    interval = _interval(row.text("standard"))
    abridged = float(row.text("abridged"))
    value, half = _figures(row, interval, abridged)
    symbol = row.text("symbol")
    weight = Datum(
        value * _GRAM,
        "kg/mol",
        0.9 * half * _GRAM,
        Obtained(row.text("obtained")),
        row.text("source"),
        row.text("where"),
        f"atomic weight of {symbol}",
        row.place,
    )
    return Element(
        symbol=symbol,
        name=row.text("name"),
        number=int(row.text("number")),
        weight=weight,
        uncertainty=half * _GRAM / math.sqrt(3.0),
        abridged=abridged * _GRAM,
        interval=interval and (interval[0] * _GRAM, interval[1] * _GRAM),
    )


def _interval(printed: str) -> tuple[float, float] | None:
    """`[1.00784,1.00811]` as two numbers; None for a single value."""
    if not printed.startswith("["):
        return None
    low, high = printed.strip("[]").split(",")
    return float(low), float(high)


def _figures(
    row: Row, interval: tuple[float, float] | None, abridged: float
) -> tuple[float, float]:
    """The value that counts and its ±, g/mol, as the column `use` says."""
    match row.text("use"), interval:
        case "middle", (low, high):
            return (low + high) / 2.0, (high - low) / 2.0
        case "abridged", _:
            return abridged, float(row.text("abridged_pm"))
        case "standard", None:
            return float(row.text("standard")), float(row.text("standard_pm"))
    raise ValueError(f"{row.place.file}:{row.place.line}: `use` does not fit `standard`")
