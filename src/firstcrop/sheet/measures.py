"""Quantities inside a sentence: read once, with the words that stand for a value."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

from firstcrop.problems import Problem
from firstcrop.quantity.read import read_interval, read_quantity
from firstcrop.quantity.records import Kind, Quantity
from firstcrop.sheet.records import Blank

# Kinds a slot of a wording takes; the unit of a blank must be one of them too.
WANTED: Mapping[str, frozenset[Kind]] = MappingProxyType(
    {
        "time": frozenset({Kind.TIME}),
        "temp": frozenset({Kind.TEMPERATURE}),
        "volume": frozenset({Kind.VOLUME}),
        "mass": frozenset({Kind.MASS}),
        "power": frozenset({Kind.POWER}),
        "rate": frozenset({Kind.MASS_FLOW, Kind.VOLUME_FLOW, Kind.HEATING_RATE}),
        "amount": frozenset({Kind.MASS, Kind.VOLUME, Kind.AMOUNT, Kind.DROPS, Kind.EQUIVALENTS}),
        "fraction": frozenset({Kind.FRACTION}),
        "number": frozenset({Kind.NUMBER}),
        "energy": frozenset({Kind.ENERGY}),
        "interval": frozenset({Kind.INTERVAL}),
    }
)
EXAMPLES = MappingProxyType(
    {
        "time": "20 min",
        "temp": "45 °C",
        "volume": "50 mL",
        "mass": "30 g",
        "power": "300 W",
        "rate": "2 mL/min",
        "amount": "5 mL",
        "fraction": "half",
        "number": "3",
        "count": "4",
        "ph": "pH 3",
        "energy": "60 kJ/mol",
        "interval": "10 °C",
        "name": "the beaker",
        "word": "phenolphthalein",
    }
)

# Values that words stand for. Room temperature: European Pharmacopoeia 1.2, 15 to 25 °C.
_ROOM = Quantity(293.15, Kind.TEMPERATURE, 5.0, "room", "room temperature")
_BOILING = Quantity(373.15, Kind.TEMPERATURE, 0.0, "boiling", "boiling")
_ICE = Quantity(273.15, Kind.TEMPERATURE, 0.0, "ice", "ice temperature")


def worded(word: str) -> Quantity | None:
    """The value a word such as "room", "boiling", "ice" or "overnight" stands for."""
    for quantity in (_ROOM, _BOILING, _ICE):
        if quantity.unit == word:
            return quantity
    read = measure(word)
    return read if isinstance(read, Quantity) else None


def fraction(value: float) -> Quantity:
    """A part of the whole, as `half` or `a third` is read."""
    return Quantity(value, Kind.FRACTION, 0.0, "%")


@lru_cache(maxsize=4096)
def measure(text: str) -> Quantity | Problem:
    """`text` as a quantity; the Problem has no place, the caller knows where it stands."""
    return read_quantity(text)


@lru_cache(maxsize=512)
def kind_of_unit(unit: str) -> Kind | None:
    """The kind a unit measures, None when it is no unit."""
    quantity = measure(f"1 {unit}")
    return quantity.kind if isinstance(quantity, Quantity) else None


def take(kind: str, text: str) -> Quantity | None:
    """`text` as a quantity of the kind a slot wants, None when it is something else."""
    quantity = read_interval(text) if kind == "interval" else measure(text)
    fits = isinstance(quantity, Quantity) and quantity.kind in WANTED[kind]
    return quantity if fits and isinstance(quantity, Quantity) else None


def take_blank(kind: str, unit: str) -> Blank | None:
    """A blank with `unit` where a slot of `kind` stands, None when it does not fit."""
    return Blank(unit) if unit and kind_of_unit(unit) in WANTED[kind] else None
