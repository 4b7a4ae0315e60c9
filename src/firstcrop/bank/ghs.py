"""Tables of the rules by which a mixture is classified (UN GHS parts 2 to 4)."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from types import MappingProxyType

from firstcrop.bank.records import Obtained
from firstcrop.bank.tables import read_table


@dataclass(frozen=True, slots=True)
class MixtureLimit:
    """Share (kg/kg) of an ingredient with `origin` from which a mixture takes `result`. `mode`:
    sum (shares over limits add up), M (the same, times the M-factor), any (one must reach it)."""

    result: str
    origin: str
    share: float
    mode: str
    inorganic: bool  # holds only for acids, bases and inorganic salts
    chapter: str


@dataclass(frozen=True, slots=True)
class AcuteBand:
    """A category of acute toxicity: up to which estimate, and the value it counts with."""

    route: str  # oral, dermal, gas, vapour, dust
    category: int
    code: str
    up_to: float  # mg/kg, ppm or mg/L
    converted: float


@dataclass(frozen=True, slots=True)
class Detail:
    """What the codes of a substance do not say; an estimate or factor that is absent is not
    known. `categories` maps a code to its category."""

    estimates: Mapping[str, float]  # oral, dermal (mg/kg), inhaled (mg/L)
    m_acute: float | None = None
    m_chronic: float | None = None
    categories: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True, slots=True)
class Precaution:
    """The wording of a P code; `rank` is low for what a short label says first."""

    code: str
    text: str
    rank: int
    obtained: Obtained


@cache
def mixture_limits() -> Mapping[str, tuple[MixtureLimit, ...]]:
    """The rows of `ghs_limits.tsv` by result."""
    found: dict[str, list[MixtureLimit]] = {}
    for row in read_table("ghs_limits"):
        limit = MixtureLimit(
            row.text("result"),
            row.text("from"),
            float(row.text("percent")) / 100.0,
            row.text("mode"),
            row.text("what") == "inorganic",
            row.text("chapter"),
        )
        found.setdefault(limit.result, []).append(limit)
    return MappingProxyType({result: tuple(rows) for result, rows in found.items()})


@cache
def acute_bands() -> Mapping[str, tuple[AcuteBand, ...]]:
    """The rows of `ghs_acute.tsv` by route, the most toxic first."""
    found: dict[str, list[AcuteBand]] = {}
    for row in read_table("ghs_acute"):
        band = AcuteBand(
            row.text("route"),
            int(row.text("category")),
            row.text("code"),
            float(row.text("up_to")),
            float(row.text("converted")),
        )
        found.setdefault(band.route, []).append(band)
    return MappingProxyType({route: tuple(rows) for route, rows in found.items()})


@cache
def load_details() -> Mapping[str, Detail]:
    """The rows of `ghs_details.tsv` by substance."""
    found = {}
    for row in read_table("ghs_details"):
        told = {r: row.number(f"ate_{r}") for r in ("oral", "dermal", "inhaled")}
        pairs = (text.split(" ") for text in row.names("categories"))
        found[row.text("substance")] = Detail(
            MappingProxyType({r: v for r, v in told.items() if v is not None}),
            row.number("m_acute"),
            row.number("m_chronic"),
            MappingProxyType({code: int(category) for code, category in pairs}),
        )
    return MappingProxyType(found)


@dataclass(frozen=True, slots=True)
class Carrier:
    """The substance as which a component of a liquor counts, in a range of pH."""

    substance: str
    below: float
    above: float


@cache
def load_carriers() -> Mapping[str, tuple[Carrier, ...]]:
    """Component of a liquor -> its carriers, those of a range of pH first."""
    found: dict[str, tuple[Carrier, ...]] = {}
    for row in read_table("ghs_carriers"):
        below, above = row.number("below"), row.number("above")
        carrier = Carrier(
            row.text("substance"),
            math.inf if below is None else below,
            -math.inf if above is None else above,
        )
        found[row.text("component")] = (*found.get(row.text("component"), ()), carrier)
    return MappingProxyType(found)


def carrier_of(component: str, ph: float) -> str:
    """The substance a component counts as at a pH (NaN: not known), '' when nobody listed it."""
    rows = load_carriers().get(component, ())
    always = (r for r in rows if math.isinf(r.below) and math.isinf(r.above))
    ranged = (r for r in rows if r.above < ph < r.below)
    return next((r.substance for r in (*ranged, *always)), "")


@cache
def load_precautions() -> Mapping[str, Precaution]:
    """The rows of `precautions.tsv` by code."""
    return MappingProxyType(
        {
            row.text("code"): Precaution(
                row.text("code"),
                row.text("text"),
                int(row.text("rank")),
                Obtained(row.text("obtained")),
            )
            for row in read_table("precautions")
        }
    )


@cache
def flash_points() -> Mapping[str, tuple[tuple[float, float], ...]]:
    """Substance -> (kg/kg in water, flash point K), the weakest first."""
    found: dict[str, list[tuple[float, float]]] = {}
    for row in read_table("flash_points"):
        point = (float(row.text("percent")) / 100.0, float(row.text("flash")) + 273.15)
        found.setdefault(row.text("substance"), []).append(point)
    return MappingProxyType({name: tuple(sorted(points)) for name, points in found.items()})
