"""Vessels as bodies: what they hold to the brim, how wide they are, what they weigh."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from types import MappingProxyType

from firstcrop.bank.records import Datum, Obtained
from firstcrop.bank.tables import Row, read_table
from firstcrop.problems import Place

_ML, _MM, _G = 1e-6, 1e-3, 1e-3


@dataclass(frozen=True, slots=True)
class VesselShape:
    """A vessel of one form and nominal size. SI; `heat_capacity` is of the empty vessel, J/K."""

    form: str
    names: tuple[str, ...]
    nominal: float  # m3
    brimful: float  # m3
    diameter: float  # m, inner, mean
    height: float  # m
    material: str
    mass: float  # kg
    heat_capacity: Datum  # J/K
    shock: float  # K, largest sudden temperature change; NaN when unknown
    source: str
    obtained: Obtained
    notes: str = ""
    place: Place = field(default=Place(0), compare=False)


@cache
def load_vessels() -> tuple[VesselShape, ...]:
    """Every row of `vessels.tsv`, smallest first within a form."""
    materials = {row.text("material"): row for row in read_table("vessel_materials")}
    return tuple(_shape(row, materials) for row in read_table("vessels"))


@cache
def vessel_forms() -> Mapping[str, str]:
    """Every name of a form, lower case, and the form it means."""
    found: dict[str, str] = {}
    for shape in load_vessels():
        for name in (shape.form, *shape.names):
            found.setdefault(name.lower(), shape.form)
    return MappingProxyType(found)


def form_of(description: str) -> str:
    """The form a description names ("400 mL low-form beaker"), '' when it names none: the
    longest name that occurs in it wins."""
    text = description.lower()
    named = [name for name in vessel_forms() if name in text]
    return vessel_forms()[max(named, key=len)] if named else ""


def find_vessel(description: str, capacity: float) -> VesselShape | None:
    """The shape nearest in size among those of the described form (beakers when no form is
    named), scaled to `capacity` m3 with its proportions kept; None for a capacity <= 0."""
    if not capacity > 0.0:
        return None
    form = form_of(description) or "low-form beaker"
    shapes = [shape for shape in load_vessels() if shape.form == form]
    near = min(shapes, key=lambda s: abs(s.nominal - capacity))
    return near if abs(near.nominal / capacity - 1.0) < 1e-6 else _scaled(near, capacity)


def _scaled(shape: VesselShape, capacity: float) -> VesselShape:
    ratio = capacity / shape.nominal
    length, area = ratio ** (1.0 / 3.0), ratio ** (2.0 / 3.0)
    heat = shape.heat_capacity
    return VesselShape(
        form=shape.form,
        names=shape.names,
        nominal=capacity,
        brimful=shape.brimful * ratio,
        diameter=shape.diameter * length,
        height=shape.height * length,
        material=shape.material,
        mass=shape.mass * area,
        heat_capacity=Datum(
            heat.value * area,
            heat.unit,
            heat.band * area,
            Obtained.ESTIMATE,
            heat.source,
            f"scaled from {shape.nominal / _ML:g} mL",
            heat.label,
            heat.place,
        ),
        shock=shape.shock,
        source=shape.source,
        obtained=Obtained.ESTIMATE,
        notes=shape.notes,
        place=shape.place,
    )


def _shape(row: Row, materials: Mapping[str, Row]) -> VesselShape:
    stuff = materials[row.text("material")]
    mass = float(row.text("mass")) * _G
    capacity = stuff.datum("heat_capacity", "J/K", mass, f"heat capacity of a {row.text('form')}")
    if capacity is None:
        raise ValueError(f"{stuff.place.file}:{stuff.place.line}: no heat capacity")
    shock = stuff.number("shock")
    return VesselShape(
        form=row.text("form"),
        names=row.names("names"),
        nominal=float(row.text("nominal")) * _ML,
        brimful=float(row.text("brimful")) * _ML,
        diameter=float(row.text("diameter")) * _MM,
        height=float(row.text("height")) * _MM,
        material=row.text("material"),
        mass=mass,
        heat_capacity=capacity,
        shock=float("nan") if shock is None else shock,
        source=row.text("source"),
        obtained=Obtained(row.text("obtained")),
        notes=row.text("notes"),
        place=row.place,
    )
