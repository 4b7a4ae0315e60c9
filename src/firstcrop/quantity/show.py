"""Values for people: the unit chosen by size, few digits, a true minus sign.

format_value(0.0298, Kind.MASS)             29.8 g
format_value(5400.0, Kind.TIME)             1 h 30 min
format_spread(0.0298, 0.0012, Kind.MASS)    29.8 ± 1.2 g
format_band(0.0286, 0.031, Kind.MASS)       28.6–31.0 g
"""

from __future__ import annotations

import math
from types import MappingProxyType
from typing import Final

from firstcrop.quantity.records import Kind

NOT_KNOWN: Final = "not known"

# (from this SI size up, unit, SI size of the unit), largest first; the last one takes the rest
_SCALES: Final = MappingProxyType(
    {
        Kind.MASS: ((1.0, "kg", 1.0), (1e-3, "g", 1e-3), (1e-6, "mg", 1e-6), (0.0, "µg", 1e-9)),
        Kind.VOLUME: ((1e-3, "L", 1e-3), (1e-7, "mL", 1e-6), (0.0, "µL", 1e-9)),
        Kind.AMOUNT: ((1.0, "mol", 1.0), (1e-3, "mmol", 1e-3), (0.0, "µmol", 1e-6)),
        Kind.TEMPERATURE: ((0.0, "°C", 1.0),),
        Kind.INTERVAL: ((0.0, "K", 1.0),),
        Kind.TIME: ((172800.0, "d", 86400.0), (3600.0, "h", 3600.0), (60.0, "min", 60.0),
                    (0.0, "s", 1.0)),
        Kind.POWER: ((1e3, "kW", 1e3), (0.0, "W", 1.0)),
        Kind.PRESSURE: ((1e6, "bar", 1e5), (1e3, "kPa", 1e3), (0.0, "Pa", 1.0)),
        Kind.LENGTH: ((1.0, "m", 1.0), (0.01, "cm", 0.01), (1e-3, "mm", 1e-3), (0.0, "µm", 1e-6)),
        Kind.ENERGY: ((1e6, "MJ", 1e6), (1e3, "kJ", 1e3), (0.0, "J", 1.0)),
        Kind.DENSITY: ((0.0, "g/mL", 1e3),),
        Kind.MASS_FLOW: ((1e-3 / 60.0, "g/min", 1e-3 / 60.0), (0.0, "mg/min", 1e-6 / 60.0)),
        Kind.VOLUME_FLOW: ((1e-3 / 60.0, "L/min", 1e-3 / 60.0), (0.0, "mL/min", 1e-6 / 60.0)),
        Kind.HEATING_RATE: ((0.0, "K/min", 1.0 / 60.0),),
        Kind.EQUIVALENTS: ((0.0, "equiv", 1.0),),
        Kind.DROPS: ((0.0, "drops", 5e-8),),
        Kind.PH: ((0.0, "", 1.0),),
        Kind.NUMBER: ((0.0, "", 1.0),),
        Kind.FRACTION: ((0.0, "%", 0.01),),
    }
)  # fmt: skip
_KELVIN_OF_ZERO: Final = 273.15


def format_value(value: float, kind: Kind, digits: int = 3) -> str:
    """`value` (SI) with `digits` significant figures in a handy unit; `not known` for NaN.

    A temperature gets `digits` - 2 decimals, a pH `digits` - 1; hours are written 1 h 30 min.
    """
    if not math.isfinite(value):
        return NOT_KNOWN
    if kind is Kind.TIME and 3600.0 <= abs(value) < 172800.0:
        return _hours(value)
    unit, size = _chosen(value, kind, digits)
    number = (value - _zero(kind)) / size
    return _joined(_signed(number, _decimals(number, kind, digits)), unit, kind)


def format_spread(value: float, band: float, kind: Kind, digits: int = 3) -> str:
    """`29.8 ± 1.2 g`: the half-width with two figures, the value to the same decimal.

    A half-width of 0 or one that is not known is left out.
    """
    if not math.isfinite(value) or not math.isfinite(band) or band <= 0.0:
        return format_value(value, kind, digits)
    unit, size = _chosen(max(abs(value), band) if kind is not Kind.TEMPERATURE else value, kind, 3)
    decimals = _places(band / size, 2)
    number = _signed((value - _zero(kind)) / size, decimals)
    return _joined(f"{number} ± {_signed(band / size, decimals)}", unit, kind)


def format_band(low: float, high: float, kind: Kind, digits: int = 3) -> str:
    """`28.6–31.0 g`: both ends in the unit that suits the upper one, alike in decimals."""
    if not (math.isfinite(low) and math.isfinite(high)):
        return NOT_KNOWN
    low, high = min(low, high), max(low, high)
    unit, size = _chosen(max(abs(low), abs(high)), kind, digits)
    ends = [(end - _zero(kind)) / size for end in (low, high)]
    decimals = _decimals(max(ends, key=abs), kind, digits)
    first, last = (_signed(end, decimals) for end in ends)
    if first == last:
        return _joined(first, unit, kind)
    dash = " to " if "−" in first + last else "–"
    return _joined(f"{first}{dash}{last}", unit, kind)


def _zero(kind: Kind) -> float:
    return _KELVIN_OF_ZERO if kind is Kind.TEMPERATURE else 0.0


def _chosen(value: float, kind: Kind, digits: int) -> tuple[str, float]:
    """Unit and its SI size for a value; 999.96 g counts as 1 kg when three figures are shown."""
    scales = _SCALES[kind]
    if value == 0.0:
        return scales[min(1, len(scales) - 1)][1:]
    rounded = float(f"{abs(value):.{max(digits, 1) - 1}e}")
    return next((unit, size) for least, unit, size in scales if rounded >= least * (1 - 1e-12))


def _decimals(number: float, kind: Kind, digits: int) -> int:
    if kind is Kind.TEMPERATURE:
        return max(digits - 2, 0)
    if kind is Kind.PH:
        return max(digits - 1, 0)
    return _places(number, digits)


def _places(number: float, digits: int) -> int:
    """Decimals that show `digits` significant figures of `number`."""
    if number == 0.0:
        return 0
    rounded = float(f"{abs(number):.{max(digits, 1) - 1}e}")
    return min(max(digits - 1 - math.floor(math.log10(rounded)), 0), 15)


def _signed(number: float, decimals: int) -> str:
    text = f"{number:.{decimals}f}"
    if text.startswith("-"):
        text = text[1:] if not text.strip("-0.") else f"−{text[1:]}"
    return text


def _joined(number: str, unit: str, kind: Kind) -> str:
    if kind is Kind.PH:
        return f"pH {number}"
    return f"{number} {unit}" if unit else number


def _hours(value: float) -> str:
    minutes = round(abs(value) / 60.0)
    hours, rest = divmod(minutes, 60)
    text = f"{hours} h {rest} min" if rest else f"{hours} h"
    return f"−{text}" if value < 0 else text
