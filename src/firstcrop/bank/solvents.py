"""Solvents beside water: what they do to the solubility of salts (`data/solvent*.tsv`)."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from types import MappingProxyType

from firstcrop.bank.records import CurvePoint, Datum, Obtained
from firstcrop.bank.tables import Row, read_table
from firstcrop.problems import Place

ZERO_CELSIUS = 273.15


@dataclass(frozen=True, slots=True)
class Solvent:
    """A solvent that mixes with water: density [kg/m3], van Laar's constants of it and of water."""

    component: str
    name: str
    density: Datum
    own: float
    water: float


@dataclass(frozen=True, slots=True)
class MixedPoint:
    """A saturated solution in a mixture: w, kg solvent per kg of solvent and water; the point's
    value counts g of anhydrous salt per 100 g of both."""

    w: float
    point: CurvePoint


@dataclass(frozen=True, slots=True)
class Typical:
    """Log-linear fall for salts whose ions have a mean z2 of at least `charge`."""

    charge: float
    sigma: Datum
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Layers:
    """A salt that splits water and solvent into two layers."""

    cation: str
    anion: str
    obtained: Obtained
    source: str
    place: Place = field(default=Place(0), compare=False)


@cache
def load_solvents() -> Mapping[str, Solvent]:
    """Every solvent by its component."""
    found = {}
    for row in read_table("solvents"):
        density = row.datum("density", "kg/m3", 1e3, f"density of {row.text('name')}")
        assert density is not None
        own, water = float(row.text("laar_solvent")), float(row.text("laar_water"))
        found[row.text("component")] = Solvent(
            row.text("component"), row.text("name"), density, own, water
        )
    return MappingProxyType(found)


@cache
def load_mixed() -> Mapping[tuple[str, str], tuple[MixedPoint, ...]]:
    """(solid, solvent) -> its saturated solutions, the most water first."""
    found: defaultdict[tuple[str, str], list[MixedPoint]] = defaultdict(list)
    for row in read_table("solvent_solubility"):
        key = (row.text("solid"), row.text("solvent"))
        found[key].append(MixedPoint(float(row.text("w")), _point(row)))
    ordered = {key: tuple(sorted(points, key=lambda p: p.w)) for key, points in found.items()}
    return MappingProxyType(ordered)


def _point(row: Row) -> CurvePoint:
    return CurvePoint(
        temperature=float(row.text("temperature")) + ZERO_CELSIUS,
        value=float(row.text("value")),
        band=float(row.text("band")),
        obtained=Obtained(row.text("obtained")),
        source=row.text("source"),
        place=row.place,
    )


@cache
def load_typical() -> Mapping[str, tuple[Typical, ...]]:
    """Solvent -> its log-linear rows, the least charge first."""
    found: defaultdict[str, list[Typical]] = defaultdict(list)
    for row in read_table("solvent_typical"):
        sigma = row.datum("sigma", "1", 1.0, "log-linear fall of solubility")
        assert sigma is not None
        low, high = float(row.text("low")), float(row.text("high"))
        found[row.text("solvent")].append(Typical(float(row.text("charge")), sigma, low, high))
    return MappingProxyType(
        {key: tuple(sorted(rows, key=lambda r: r.charge)) for key, rows in found.items()}
    )


@cache
def load_layers() -> Mapping[str, tuple[Layers, ...]]:
    """Solvent -> the salts known to split it from water."""
    found: defaultdict[str, list[Layers]] = defaultdict(list)
    for row in read_table("solvent_layers"):
        found[row.text("solvent")].append(
            Layers(
                row.text("cation"),
                row.text("anion"),
                Obtained(row.text("obtained")),
                row.text("source"),
                row.place,
            )
        )
    return MappingProxyType({key: tuple(rows) for key, rows in found.items()})
