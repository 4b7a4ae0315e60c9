"""Solids that form on a bench, with the solubility curves that anchor their K(T).

`data/solids.tsv` has one row a solid, `data/curves.tsv` one row a curve point,
`data/curves_other.tsv` points of other sources, which only tell how far sources disagree, and
`data/transitions.tsv` one row a change of hydrate in the saturated solution: that point lies on
the curves of both solids, which is how the change comes out where it was measured.
"""

from __future__ import annotations

import math
import statistics
from collections import defaultdict
from dataclasses import dataclass, field, replace
from functools import cache
from itertools import pairwise

from firstcrop.bank.records import CurvePoint, Obtained, Solid
from firstcrop.bank.tables import Row, read_table
from firstcrop.problems import Place

ZERO_CELSIUS = 273.15
_KILO = 1e3  # kJ to J, and g/cm3 to kg/m3


@dataclass(frozen=True, slots=True)
class Transition:
    """Below `temperature` the saturated solution in pure water holds `below`, above it `above`.

    temperature [K]; value and band [g anhydrous per 100 g water] of the solution there.
    """

    below: str
    above: str
    temperature: float
    value: float
    band: float
    obtained: Obtained
    source: str
    place: Place = field(default=Place(0), compare=False)


@cache
def load_transitions() -> tuple[Transition, ...]:
    """Every known change of the solid in a saturated solution, in table order."""
    return tuple(_transition(row) for row in read_table("transitions"))


@cache
def load_solids() -> tuple[Solid, ...]:
    """Every solid, in table order, its curve sorted by temperature."""
    curves = _curves()
    others: defaultdict[str, list[CurvePoint]] = defaultdict(list)
    for row in read_table("curves_other"):
        others[row.text("solid")].append(_point(row))
    return tuple(
        replace(_solid(row, curves.get(row.text("key"), ())), others=tuple(others[row.text("key")]))
        for row in read_table("solids")
    )


def spread(solid: Solid) -> float:
    """How far other sources lie from the curve, as a part of it: the median over their points
    inside its range. 0 where there are none."""
    gaps = []
    for other in solid.others:
        for near, far in pairwise(solid.curve):
            if near.temperature <= other.temperature <= far.temperature:
                part = (other.temperature - near.temperature) / (far.temperature - near.temperature)
                here = math.log(near.value) * (1.0 - part) + math.log(far.value) * part
                gaps.append(abs(math.exp(math.log(other.value) - here) - 1.0))
                break
    return statistics.median(gaps) if gaps else 0.0


def _curves() -> dict[str, tuple[CurvePoint, ...]]:
    found: defaultdict[str, list[CurvePoint]] = defaultdict(list)
    for row in read_table("curves"):
        found[row.text("solid")].append(_point(row))
    for change in load_transitions():
        for key in (change.below, change.above):
            found[key].append(
                CurvePoint(
                    change.temperature,
                    change.value,
                    change.band,
                    change.obtained,
                    change.source,
                    change.place,
                )
            )
    return {
        key: tuple(sorted(points, key=lambda p: p.temperature)) for key, points in found.items()
    }


def _point(row: Row) -> CurvePoint:
    return CurvePoint(
        temperature=_number(row, "temperature") + ZERO_CELSIUS,
        value=_number(row, "value"),
        band=row.number("band") or 0.0,
        obtained=Obtained(row.text("obtained")),
        source=row.text("source"),
        place=row.place,
    )


def _transition(row: Row) -> Transition:
    return Transition(
        below=row.text("below"),
        above=row.text("above"),
        temperature=_number(row, "temperature") + ZERO_CELSIUS,
        value=_number(row, "value"),
        band=_number(row, "band"),
        obtained=Obtained(row.text("obtained")),
        source=row.text("source"),
        place=row.place,
    )


def _solid(row: Row, curve: tuple[CurvePoint, ...]) -> Solid:
    key = row.text("key")
    low, high = row.number("stable_low"), row.number("stable_high")
    return Solid(
        key=key,
        substance=row.text("substance"),
        components=row.stoichiometry("components"),
        anhydrous=row.text("anhydrous"),
        names=row.names("names"),
        density=row.datum("density", "kg/m3", _KILO, f"density of {key}"),
        formation=row.datum("formation", "J/mol", _KILO, f"ΔfH° of {key}"),
        heat_capacity=row.datum("heat_capacity", "J/(mol K)", 1.0, f"Cp of {key}"),
        curve=curve,
        log_k=row.datum("log_k", "1", 1.0, f"log K of {key}"),
        log_k_enthalpy=row.datum("log_k_enthalpy", "J/mol", _KILO, f"ΔH° of dissolving {key}"),
        stable=(
            0.0 if low is None else low + ZERO_CELSIUS,
            1e9 if high is None else high + ZERO_CELSIUS,
        ),
        filters=row.text("filters"),
        water=_number(row, "water"),
        place=row.place,
    )


def _number(row: Row, heading: str) -> float:
    value = row.number(heading)
    if value is None:
        raise ValueError(f"{row.place.file}:{row.place.line}: no {heading}")
    return value
