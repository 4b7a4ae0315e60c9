"""Numbers for people: a unit of handy size, and no more digits than the band allows."""

from __future__ import annotations

import math
from dataclasses import dataclass
from types import MappingProxyType

from firstcrop.forecast.records import Number

UNKNOWN = "not known"
DASH = "–"


@dataclass(frozen=True, slots=True)
class Scale:
    """A unit to show: shown = SI / factor - offset; used from `least` (SI magnitude) upwards."""

    symbol: str
    factor: float
    least: float = 0.0
    offset: float = 0.0
    plain_decimals: int | None = None  # decimals when there is no band to go by
    most_decimals: int = 9


@dataclass(frozen=True, slots=True)
class Shown:
    """A number as printed: `text` with its unit, `band` as "41–46" ('' when there is none)."""

    text: str
    band: str = ""
    why: str = ""

    @property
    def full(self) -> str:
        """Value, unit and band in one run of text."""
        return f"{self.text} ({self.band})" if self.band else self.text


MASS = (Scale("kg", 1.0, 1.0), Scale("g", 1e-3, 1e-3), Scale("mg", 1e-6))
VOLUME = (Scale("L", 1e-3, 1e-3), Scale("mL", 1e-6, 1e-7), Scale("µL", 1e-9))
AMOUNT = (Scale("mol", 1.0, 0.1), Scale("mmol", 1e-3, 1e-4), Scale("µmol", 1e-6))
TIME = (
    Scale("d", 86400.0, 172800.0),
    Scale("h", 3600.0, 7200.0),
    Scale("min", 60.0, 60.0, plain_decimals=0),
    Scale("s", 1.0, plain_decimals=0),
)
FLOW = (Scale("L/min", 1e-3 / 60.0, 1e-3 / 60.0), Scale("mL/min", 1e-6 / 60.0))

SCALES = MappingProxyType(
    {
        "K": (Scale("°C", 1.0, offset=273.15, plain_decimals=1, most_decimals=2),),
        "K step": (Scale("K", 1.0, plain_decimals=1),),
        "kg": MASS,
        "m3": VOLUME,
        "mol": AMOUNT,
        "s": TIME,
        "m3/s": FLOW,
        "J": (Scale("kJ", 1e3, 1e3), Scale("J", 1.0)),
        "W": (Scale("kW", 1e3, 1e3), Scale("W", 1.0)),
        "J/K": (Scale("kJ/K", 1e3, 1e3), Scale("J/K", 1.0)),
        "J/mol": (Scale("kJ/mol", 1e3),),
        "kg/mol": (Scale("g/mol", 1e-3),),
        "kg/m3": (Scale("g/mL", 1e3),),
        "Pa": (Scale("kPa", 1e3),),
        "fraction": (Scale("%", 1e-2),),
        "pH": (Scale("", 1.0, plain_decimals=1, most_decimals=2),),
        "1": (Scale("", 1.0),),
    }
)


def scale_for(unit: str, magnitude: float) -> Scale:
    """The scale to show an SI value of this size in; an unknown unit is shown as it is."""
    scales = SCALES.get(unit, (Scale(unit, 1.0),))
    return next((s for s in scales if magnitude >= s.least), scales[-1])


def decimals_for(half_width: float) -> int:
    """Decimals at which a band's half-width keeps two figures up to 3.5, one above."""
    if not (half_width > 0.0 and math.isfinite(half_width)):
        raise ValueError("a band has a positive, finite half-width")
    exponent = math.floor(math.log10(half_width))
    leading = half_width / 10.0**exponent
    return -exponent + (1 if leading < 3.55 else 0)


def significant(value: float, figures: int = 3) -> int:
    """Decimals that leave `figures` significant figures; at most 9."""
    if value == 0.0 or not math.isfinite(value):
        return 0
    return min(9, figures - 1 - math.floor(math.log10(abs(value))))


def fixed(value: float, decimals: int) -> str:
    """The value at so many decimals (negative: rounded to tens), a true minus sign, no -0."""
    rounded = round(value, decimals)
    text = f"{rounded:.{max(decimals, 0)}f}"
    return text.removeprefix("-") if rounded == 0 else text.replace("-", "−")


def show_value(value: float, unit: str, figures: int = 3) -> str:
    """An SI value without a band: `show_value(0.0213, "kg")` is "21.3 g"."""
    if math.isnan(value):
        return UNKNOWN
    scale = scale_for(unit, abs(value))
    shown = value / scale.factor - scale.offset
    decimals = (
        scale.plain_decimals if scale.plain_decimals is not None else significant(shown, figures)
    )
    return joined(fixed(shown, decimals), scale.symbol)


def joined(text: str, symbol: str) -> str:
    """Number and unit with the space SI asks for."""
    return f"{text} {symbol}" if symbol else text


def show_number(number: Number, unit: str = "") -> Shown:
    """A forecast number with its band; `unit` overrides, as "fraction" or "pH" for "1"."""
    unit = unit or number.unit
    if math.isnan(number.value):
        return Shown(UNKNOWN, why=number.why)
    scale = scale_for(unit, max(abs(number.value), min((number.high - number.low) / 2.0, 1e6)))
    value, low, high = (
        x / scale.factor - scale.offset for x in (number.value, number.low, number.high)
    )
    half = (high - low) / 2.0
    if not math.isfinite(half) or half <= 1e-4 * max(abs(value), 1e-9):
        return Shown(show_value(number.value, unit), why=number.why)
    decimals = min(decimals_for(half), max(significant(value, 4), 0), scale.most_decimals)
    text = joined(fixed(value, decimals), scale.symbol)
    return Shown(text, show_band(low, high, decimals), number.why)


def show_band(low: float, high: float, decimals: int) -> str:
    """A band as "41–46"; one that rounds to a point gets one more decimal."""
    first, last = fixed(low, decimals), fixed(high, decimals)
    if first == last:
        first, last = fixed(low, decimals + 1), fixed(high, decimals + 1)
    if first == last:
        return ""
    dash = " to " if first.startswith("−") or last.startswith("−") else "–"
    return f"{first}{dash}{last}"


def show_duration(seconds: float) -> str:
    """A time the way a bench clock is read: "45 s", "12 min", "1 h 20 min", "2 d"."""
    if math.isnan(seconds):
        return UNKNOWN
    if seconds < 59.5:
        return f"{seconds:.0f} s"
    minutes = round(seconds / 60.0)
    if minutes < 60:
        return f"{minutes} min"
    hours, minutes = divmod(minutes, 60)
    if hours < 48:
        return f"{hours} h {minutes:02d} min" if minutes else f"{hours} h"
    days, hours = divmod(round(seconds / 3600.0), 24)
    return f"{days} d {hours} h" if hours else f"{days} d"
