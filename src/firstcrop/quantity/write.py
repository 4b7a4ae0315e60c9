"""Write a quantity or a strength so that it reads back to the same record.

Twin of `quantity.read`; for rounded values for people see `quantity.show`.
"""

from __future__ import annotations

import math
from decimal import Context, Decimal
from types import MappingProxyType
from typing import Final

from firstcrop.quantity.bases import match_any
from firstcrop.quantity.records import Basis, Kind, Quantity, Strength
from firstcrop.quantity.units import Unit

_DEFAULT: Final = MappingProxyType(
    {
        **{Kind.MASS: "g", Kind.VOLUME: "mL", Kind.AMOUNT: "mol", Kind.TEMPERATURE: "°C"},
        **{Kind.INTERVAL: "K", Kind.TIME: "min", Kind.POWER: "W", Kind.PRESSURE: "kPa"},
        **{Kind.LENGTH: "mm", Kind.ENERGY: "kJ", Kind.DENSITY: "g/mL", Kind.MASS_FLOW: "g/min"},
        **{Kind.VOLUME_FLOW: "mL/min", Kind.HEATING_RATE: "K/min", Kind.EQUIVALENTS: "equiv"},
        **{Kind.DROPS: "drops", Kind.FRACTION: "%"},
        **{Basis.WW: "% w/w", Basis.WV: "% w/v", Basis.VV: "% v/v", Basis.MOLARITY: "mol/L"},
        **{Basis.MOLALITY: "mol/kg", Basis.MASS_CONCENTRATION: "g/L", Basis.DENSITY: "g/mL"},
        **{Basis.SATURATED: "°C", Basis.NORMALITY: "N"},
    }
)
_BARE: Final = frozenset({Kind.PH, Kind.NUMBER})
_FINE: Final = Context(prec=60)
_MOST_DIGITS: Final = 25
_MOST_PLACES: Final = 17
_HOTTEST: Final = 10**9  # degrees; beyond it decimals mean nothing


def write_quantity(quantity: Quantity) -> str:
    """`12.5 g`, `11 ± 1 mL`, `pH 3 ± 0.2`, `85 ± 2 %`; reads back to an equal Quantity.

    An unknown or empty unit is replaced by the usual one of the kind. An INTERVAL reads back
    through `read_interval`. A value that is not finite is written `not known`.
    """
    if not math.isfinite(quantity.value):
        return "not known"
    unit = _unit(quantity.kind, quantity.unit)
    number = _amount(quantity.value, quantity.band, unit)
    if quantity.kind is Kind.PH:
        return f"pH {number}"
    return number if quantity.kind is Kind.NUMBER else f"{number} {unit.name}"


def write_strength(strength: Strength) -> str:
    """`85 ± 2 % w/w, rest ethanol`, `saturated at 20 °C`, `density 1.84 g/mL`.

    Water as the rest is left out, since reading puts it in.
    """
    if not math.isfinite(strength.value):
        return "not known"
    unit = _unit(strength.basis, strength.unit)
    body = f"{_amount(strength.value, strength.band, unit)} {unit.name}"
    if strength.basis is Basis.SATURATED:
        body = f"saturated at {body}"
    elif strength.basis is Basis.DENSITY:
        body = f"density {body}"
    return body if strength.rest == "water" else f"{body}, rest {strength.rest}"


def _unit(kind: Kind | Basis, name: str) -> Unit:
    """The unit called `name` if it measures `kind`, else the usual one."""
    if kind in _BARE:
        return Unit("", kind, Decimal(1))
    return _named(kind, name) or _usual(kind)


def _usual(kind: Kind | Basis) -> Unit:
    unit = _named(kind, _DEFAULT[kind])
    if unit is None:
        raise LookupError(f"the usual unit of {kind} is not in units.tsv")
    return unit


def _named(kind: Kind | Basis, name: str) -> Unit | None:
    found = match_any(name, 0)
    if found is None or found.end != len(name):
        return None
    unit = found.unit
    if unit.kind == kind:
        return unit
    same = {
        (Kind.TEMPERATURE, Kind.INTERVAL): Decimal(0),
        (Kind.TEMPERATURE, Basis.SATURATED): unit.offset,
        (Kind.DENSITY, Basis.DENSITY): unit.offset,
        (Basis.MASS_CONCENTRATION, Basis.DENSITY): unit.offset,
        (Basis.MASS_CONCENTRATION, Kind.DENSITY): unit.offset,
    }
    offset = same.get((unit.kind, kind))
    return None if offset is None else Unit(unit.name, kind, unit.factor, offset)


def _amount(value: float, band: float, unit: Unit) -> str:
    number = _shortest(value, unit)
    if band == 0.0 or not math.isfinite(band):
        return number
    return f"{number} ± {_shortest(band, Unit(unit.name, unit.kind, unit.factor))}"


def _shortest(value: float, unit: Unit) -> str:
    """The shortest decimal that the unit turns back into `value`."""
    exact = _FINE.divide(_FINE.subtract(Decimal(value), unit.offset), unit.factor)
    if (
        unit.offset and abs(exact) < _HOTTEST
    ):  # decimals first: 0 °C is 0, not the rounding rest of 273.15
        for places in range(_MOST_PLACES):
            if unit.si(rounded := round(exact, places)) == value:
                return plain_decimal(rounded)
    number = exact
    for digits in range(1, _MOST_DIGITS):
        number = Context(prec=digits).plus(exact)
        if unit.si(number) == value:
            break
    return plain_decimal(number)


def plain_decimal(number: Decimal) -> str:
    """A decimal without needless zeros; a power of ten only when it is very large or small."""
    number = number.normalize()
    if not number:
        return "0"
    size = number.adjusted()
    if -7 < size < 16:
        return f"{number:f}".replace("-", "−")
    return f"{number:e}".replace("+", "").lower()
