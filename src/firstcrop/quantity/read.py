"""Read a quantity: `12.5 g`, `10–12 mL`, `85 ± 2 °C`, `pH 3`, `1 h 30 min`, `overnight`.

Nothing here raises: what cannot be read is a Problem with its column. Twin: `quantity.write`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from decimal import Decimal
from types import MappingProxyType
from typing import Final

from firstcrop.problems import UNPLACED, Place, Problem
from firstcrop.quantity.amount import LONGEST, Fault, Written, fault, note, scan_amount
from firstcrop.quantity.bases import match_any
from firstcrop.quantity.records import Basis, Kind, Quantity
from firstcrop.quantity.strength import read_strength, read_strength_noted
from firstcrop.quantity.units import Match, Unit, match_unit, nearest, units

_VAGUE = re.compile(
    r"(?:just\s+)?(?:an?\s+)?(?:few|several|little|bit|some|many|couple|pinch"
    r"|dash|splash|spatula(?:ful)?|spoon(?:ful)?|handful|trace|touch|plenty|enough|excess"
    r"|small amount|large amount)\b(?!\s*\d)",
    re.IGNORECASE,
)
_KITCHEN = re.compile(
    r"(?P<cup>cups?|tsps?|teaspoons?|tbsps?|tablespoons?|fl\.? ?oz|fluid ounces?|pints?|pt"
    r"|quarts?|qt|gallons?|gal)\b|(?P<grain>gr|grains?)\b",
    re.IGNORECASE,
)
_BOUND = re.compile(
    r"(?:[<>≤≥]=?|(?:at least|at most|up to|less than|more than|no more than|not more than|over"
    r"|under|max\.?|min\.?|maximum|minimum|below|above)(?=[\s\d]))\s*",
    re.IGNORECASE,
)
_PH = re.compile(r"p\.?H\s*(?:of|=|:|value)?\s*", re.IGNORECASE)
_OVERNIGHT = re.compile(r"over\s?-?night$", re.IGNORECASE)
_NIGHT: Final = (Decimal(12), Decimal(4))  # h and half-width: common practice
_FRACTIONS: Final = MappingProxyType(
    {
        **{"half": (1, 2), "a half": (1, 2), "one half": (1, 2), "a third": (1, 3)},
        **{"one third": (1, 3), "two thirds": (2, 3), "a quarter": (1, 4)},
        **{"one quarter": (1, 4), "three quarters": (3, 4), "a fifth": (1, 5)},
        **{"a tenth": (1, 10), "all": (1, 1)},
    }
)
_DROP: Final = "A drop is read as 0.05 mL (common practice)."
_ANY: Final = (-math.inf, math.inf, "")
_LIMITS: Final = MappingProxyType(  # SI; kinds not named start at 0; osmium has 22 590 kg/m3
    {
        Kind.TEMPERATURE: (0.0, math.inf, "it is below absolute zero"),
        Kind.PH: (-2.0, 16.0, "a pH lies between -2 and 16"),
        Kind.DENSITY: (1e-6, 25_000.0, "no substance has such a density"),
        **dict.fromkeys((Kind.INTERVAL, Kind.HEATING_RATE, Kind.NUMBER, Kind.ENERGY), _ANY),
    }
)
_NEXT_TIME = re.compile(r"\s*(?:,|and)?\s*(?=\d)")
_TIME: Final = Unit("h", Kind.TIME, Decimal(3600))


def read_quantity(text: str, place: Place = UNPLACED) -> Quantity | Problem:
    """Read one quantity in SI with its 90 % half-width; notes are dropped.

    `place` is where `text` starts. A temperature is absolute (K); for a step of temperature use
    `read_interval`. Codes start with `quantity-`.
    """
    quantity, problems = read_quantity_noted(text, place)
    return problems[0] if quantity is None else quantity


def read_quantity_noted(
    text: str, place: Place = UNPLACED
) -> tuple[Quantity | None, tuple[Problem, ...]]:
    """Like `read_quantity`, with the notes (decimal comma, 'about', capitals) that came up; the
    Quantity is None when the last Problem is an error, which then stands first."""
    return _guarded(text, place, _read)


def read_interval(text: str, place: Place = UNPLACED) -> Quantity | Problem:
    """Read a step of temperature: `10 °C` is 10 K, not 283.15 K."""
    quantity, problems = _guarded(text, place, _interval)
    return problems[0] if quantity is None else quantity


_Reader = Callable[[str, Place], tuple[Quantity, tuple[Problem, ...]]]


def _guarded(
    text: str, place: Place, reader: _Reader
) -> tuple[Quantity | None, tuple[Problem, ...]]:
    try:
        if len(text) > LONGEST:
            raise fault("quantity-long", "This is too long for a quantity.", place, 0, len(text))
        if not text.strip():
            message = "There is no quantity here."
            raise fault("quantity-empty", message, place, 0, len(text), "Write one, like 10 mL.")
        return reader(text, place)
    except Fault as wrong:
        return None, (wrong.problem,)


def _read(text: str, place: Place) -> tuple[Quantity, tuple[Problem, ...]]:
    at = len(text) - len(text.lstrip())
    word = " ".join(text.lower().split())
    if word in _FRACTIONS:
        above, below = _FRACTIONS[word]
        return Quantity(above / below, Kind.FRACTION, 0.0, "%", text), ()
    if _OVERNIGHT.match(text.strip()):
        return _overnight(text, place, at)
    _refuse(text, place, at)
    if found := _PH.match(text, at):
        written = scan_amount(text, found.end(), place, _match_none)
        return _built(text, place, at, written, Kind.PH)
    written = scan_amount(text, at, place, match_any)
    written = _compound(text, place, written)
    return _built(text, place, at, written, _kind(text, place, written))


def _interval(text: str, place: Place) -> tuple[Quantity, tuple[Problem, ...]]:
    at = len(text) - len(text.lstrip())
    _refuse(text, place, at)
    written = scan_amount(text, at, place, match_unit)
    unit = written.unit
    if unit is None or unit.kind is not Kind.TEMPERATURE:
        message = "This is no step of temperature."
        raise fault("quantity-unit", message, place, at, len(text) - at, "Write it like 10 °C.")
    step = Unit(unit.name, Kind.INTERVAL, unit.factor)
    bare = Written(written.value, written.band, step, written.end, written.notes)
    return _built(text, place, at, bare, Kind.INTERVAL)


def _match_none(_text: str, _at: int) -> Match | None:
    return None


def _overnight(text: str, place: Place, at: int) -> tuple[Quantity, tuple[Problem, ...]]:
    hours, spread = _NIGHT
    message = "'overnight' is read as 12 ± 4 h (common practice)."
    told = note("quantity-overnight", message, place, at, len(text.strip()))
    return Quantity(_TIME.si(hours), Kind.TIME, _TIME.step(spread), "h", text), (told,)


def _refuse(text: str, place: Place, at: int) -> None:
    """Words that stand where a number should."""
    size = len(text.rstrip()) - at
    if found := _VAGUE.match(text, at):
        message = f"'{found[0].strip()}' is no amount that can be computed with."
        hint = "Write a number and a unit; a rough one may say so: about 5 mL, 5–10 mL."
        raise fault("quantity-vague", message, place, at, size, hint)
    if found := _BOUND.match(text, at):
        rest = text[found.end() :].strip()
        message = f"'{found[0].strip()}' sets a limit; it does not say how much."
        hint = f"Write the amount itself ({rest}) or a range." if rest else "Write an amount."
        raise fault("quantity-bound", message, place, at, size, hint)


def _compound(text: str, place: Place, first: Written) -> Written:
    """`1 h 30 min`: further, smaller times are added; the last unit is kept."""
    while (
        first.unit is not None
        and first.unit.kind is Kind.TIME
        and first.band == 0
        and (joint := _NEXT_TIME.match(text, first.end))
    ):
        more = scan_amount(text, joint.end(), place, match_unit)
        smaller = more.unit
        if smaller is None or smaller.kind is not Kind.TIME or smaller.factor >= first.unit.factor:
            break
        value = first.value * first.unit.factor / smaller.factor + more.value
        first = Written(value, more.band, smaller, more.end, (*first.notes, *more.notes))
    return first


def _kind(text: str, place: Place, written: Written) -> Kind:
    """What kind of quantity it is; a strength and an unknown unit are refused."""
    if written.unit is None:
        if text[written.end :].strip():
            raise _unknown_unit(text, place, written.end)
        return Kind.NUMBER
    kind = written.unit.kind
    if isinstance(kind, Basis):
        if kind is Basis.MASS_CONCENTRATION:
            return Kind.DENSITY
        message = f"{written.unit.name} is a strength; an amount is wanted here."
        size = len(text.strip())
        hint = "Write how much of it, such as 50 mL, and the strength under Materials."
        raise fault("quantity-strength", message, place, 0, size, hint)
    return kind


def _unknown_unit(text: str, place: Place, end: int) -> Fault:
    start = end + len(text[end:]) - len(text[end:].lstrip())
    word = text[start:].split(maxsplit=1)[0]
    if found := _KITCHEN.match(text, start):
        if found["grain"]:
            message, hint = "'gr' may be gram or grain.", "Write g for gram."
        else:
            message = f"'{found[0]}' differs from country to country and from spoon to spoon."
            hint = "Measure it and write it in mL, or weigh it and write it in g."
        return fault("quantity-unit", message, place, start, len(found[0]), hint)
    near = nearest(word)
    hint = f"Did you mean {' or '.join(near)}?" if near else "Write a unit such as g, mL, °C, min."
    return fault("quantity-unit", f"'{word}' is no unit I know.", place, start, len(word), hint)


def _built(
    text: str, place: Place, at: int, written: Written, kind: Kind
) -> tuple[Quantity, tuple[Problem, ...]]:
    rest = text[written.end :].strip().rstrip(".")
    if rest:
        start = written.end + len(text[written.end :]) - len(text[written.end :].lstrip())
        size = len(text.rstrip()) - start
        message = f"'{rest}' after the quantity is not understood."
        raise fault("quantity-trailing", message, place, start, size)
    unit = written.unit or Unit("", kind, Decimal(1))
    value, band = unit.si(written.value), unit.step(written.band)
    size = len(text.strip())
    told = f"{text.strip()} is impossible"
    notes = written.notes
    if kind is Kind.DROPS:
        notes += (note("quantity-drops", _DROP, place, at, size),)
    if wrong := _impossible(kind, value, band, written.value):
        raise fault("quantity-impossible", f"{told}: {wrong}.", place, at, size)
    return Quantity(value, kind, band, unit.name, text), notes


def _impossible(kind: Kind, value: float, band: float, number: Decimal) -> str:
    """Why a quantity of this kind cannot have this value; empty when it can."""
    if not (math.isfinite(value) and math.isfinite(band)):
        return "the number is too large"
    if value == 0.0 and number != 0 and kind is not Kind.TEMPERATURE:
        return "the number is too small"
    least, most, why = _LIMITS.get(kind, (0.0, math.inf, f"a {kind.value} cannot be negative"))
    return "" if least <= value <= most else why


__all__ = [
    "read_interval",
    "read_quantity",
    "read_quantity_noted",
    "read_strength",
    "read_strength_noted",
    "units",
]
