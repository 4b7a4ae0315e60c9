"""The grammar shared by quantities and strengths: a number, its spread or range, its unit.

    amount  = [about] number [unit] [± number [unit | %]]
            | [about] [between] number [unit] (- | to | and) number [unit]
            | ( number ± number ) unit

The half-width written after ±, and half of a range, are taken as the 90 % half-width.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Context, Decimal
from typing import Final

from firstcrop.problems import Place, Problem, Severity
from firstcrop.quantity.number import Number, match_number
from firstcrop.quantity.records import Kind
from firstcrop.quantity.units import Match, Unit

LONGEST: Final = 200  # characters of one quantity
_ABOUT_BAND: Final = Decimal("0.1")  # "about": a tenth, common practice
_ABOUT_LEAST: Final = Decimal(2)  # of a temperature: 2 degrees at least
_SHORT: Final = Context(prec=6)
_ABOUT = re.compile(
    r"\s*(?:[~≈∼]|(?:about|approximately|approx\.?|around|roughly|circa|ca\.|ca|c\.|some)(?=[\s\d]))\s*",
    re.IGNORECASE,
)
_OR_SO = re.compile(r"\s*(?:or so|approximately|approx\.?)\s*$", re.IGNORECASE)
_BETWEEN = re.compile(r"(?:between|from)\s+", re.IGNORECASE)
_PLUS_MINUS = re.compile(r"\s*(?:±|\+\s?/\s?[-−–]|\+[-−–])\s*")
_RANGE = re.compile(r"\s*(?:[-−–—‒]|\.\.\.?|…)\s*|\s+(?:to|or)\s+", re.IGNORECASE)
_AND = re.compile(r"\s+(?:and|to)\s+", re.IGNORECASE)
_SPACE = re.compile(r"\s*")

Matcher = Callable[[str, int], Match | None]


class Fault(Exception):  # noqa: N818 - caught by the public readers, never seen outside
    """Carries a Problem out of the grammar."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem.message)
        self.problem = problem


@dataclass(frozen=True, slots=True)
class Written:
    """An amount as written: number and half-width in its unit (None: no unit), where it ends."""

    value: Decimal
    band: Decimal
    unit: Unit | None
    end: int
    notes: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True)
class _Piece:
    """A number with the unit behind it."""

    number: Number
    match: Match | None

    @property
    def end(self) -> int:
        return self.match.end if self.match else self.number.end

    @property
    def unit(self) -> Unit | None:
        return self.match.unit if self.match else None


def fault(code: str, message: str, place: Place, at: int, size: int = 1, hint: str = "") -> Fault:
    """A Fault about `size` characters from `at` of a text that starts at `place`."""
    return Fault(Problem(code, message, (place.shifted(at, max(size, 1)),), hint))


def note(code: str, message: str, place: Place, at: int, size: int) -> Problem:
    """A note about `size` characters from `at`."""
    return Problem(code, message, (place.shifted(at, max(size, 1)),), "", Severity.NOTE)


def scan_amount(text: str, at: int, place: Place, match: Matcher) -> Written:
    """Read an amount that starts at `at`; raises Fault. What follows it is the caller's."""
    start = _skip(text, at)
    about = _ABOUT.match(text, start)
    pos = about.end() if about else start
    written = _bracketed(text, pos, place, match) or _open(text, pos, place, match)
    if tail := _OR_SO.match(text, written.end):
        about, written = tail, _ended(written, tail.end())
    if about and written.band == 0:
        return _spread_by_a_tenth(written, place, start)
    return written


def _open(text: str, pos: int, place: Place, match: Matcher) -> Written:
    between = _BETWEEN.match(text, pos)
    pos = between.end() if between else pos
    first = _piece(text, pos, place, match)
    if first is None:
        size = len(text) - pos
        raise fault("quantity-number", "There is no number here.", place, pos, size)
    if found := _PLUS_MINUS.match(text, first.end):
        return _with_spread(first, _after(text, found.end(), place, match, "±"), place)
    if found := (_AND if between else _RANGE).match(text, first.end):
        second = _piece(text, found.end(), place, match)
        if second is not None:
            return _with_range(first, second, place)
    if between:
        raise fault("quantity-range", "'between' needs two values.", place, pos, len(text) - pos)
    return Written(first.number.value, Decimal(0), first.unit, first.end, _notes([first], place))


def _bracketed(text: str, pos: int, place: Place, match: Matcher) -> Written | None:
    """`(85 ± 2) %`; None when no bracket opens here."""
    if text[pos : pos + 1] != "(":
        return None
    inner = _open(text, _skip(text, pos + 1), place, lambda _text, _at: None)
    close = _skip(text, inner.end)
    if text[close : close + 1] != ")":
        raise fault("quantity-bracket", "This '(' is never closed.", place, pos, 1, "Add a ')'.")
    unit = match(text, _skip(text, close + 1))
    end = unit.end if unit else close + 1
    return Written(inner.value, inner.band, unit.unit if unit else None, end, inner.notes)


def _piece(text: str, pos: int, place: Place, match: Matcher) -> _Piece | None:
    number = match_number(text, pos)
    if number is None:
        return None
    if number.fault:
        size = number.end - number.start
        raise fault("quantity-number", number.fault, place, number.start, size, number.hint)
    return _Piece(number, match(text, _skip(text, number.end)))


def _after(text: str, pos: int, place: Place, match: Matcher, sign: str) -> _Piece:
    piece = _piece(text, pos, place, match)
    if piece is None:
        message = f"A number must follow '{sign}'."
        raise fault("quantity-spread", message, place, max(pos - 1, 0), 1)
    if piece.number.value < 0:
        size = piece.number.end - pos
        raise fault("quantity-spread", "A spread cannot be negative.", place, pos, size)
    return piece


def _with_spread(first: _Piece, second: _Piece, place: Place) -> Written:
    value, spread = first.number.value, second.number.value
    unit, other = first.unit, second.unit
    if other is None or unit is None:
        unit = unit or other
    elif is_percent(other) and not is_percent(unit):
        if unit.offset:
            at, size = second.number.start, second.end - second.number.start
            message = f"A percentage of a temperature in {unit.name} has no meaning."
            raise fault("quantity-spread", message, place, at, size, f"Write ± in {unit.name}.")
        spread = abs(value) * spread / 100
    else:
        unit, spread = _common(unit, other, spread, second, place)
    return Written(value, spread, unit, second.end, _notes([first, second], place))


def _common(
    unit: Unit, other: Unit, spread: Decimal, second: _Piece, place: Place
) -> tuple[Unit, Decimal]:
    """One unit for value and spread; `30 % ± 1 % w/w` takes the fuller one."""
    if is_percent(unit) and is_percent(other):
        return (other if len(other.name) > len(unit.name) else unit), spread
    if unit.kind is not other.kind:
        at, size = second.number.start, second.end - second.number.start
        message = f"A spread in {other.name} does not fit a value in {unit.name}."
        raise fault("quantity-spread", message, place, at, size, f"Write ± in {unit.name}.")
    return unit, spread if unit is other else spread * other.factor / unit.factor


def _with_range(first: _Piece, second: _Piece, place: Place) -> Written:
    low, high = first.number.value, second.number.value
    unit = second.unit or first.unit
    if first.unit and second.unit and first.unit is not second.unit:
        one, other = first.unit, second.unit
        if is_percent(one) and is_percent(other):
            unit = one if len(one.name) > len(other.name) else other
        elif one.kind is not other.kind:
            at, size = first.number.start, second.end - first.number.start
            message = f"A range from {one.name} to {other.name} has no meaning."
            raise fault("quantity-range", message, place, at, size)
        elif one.factor < other.factor:
            unit = one
            high = (high * other.factor + other.offset - one.offset) / one.factor
        else:
            low = (low * one.factor + one.offset - other.offset) / other.factor
    middle, half = (low + high) / 2, abs(high - low) / 2
    return Written(middle, half, unit, second.end, _notes([first, second], place))


def _spread_by_a_tenth(written: Written, place: Place, start: int) -> Written:
    band = abs(written.value) * _ABOUT_BAND
    if written.unit and written.unit.kind is Kind.TEMPERATURE:
        celsius = abs(Decimal(written.unit.si(written.value)) - Decimal("273.15"))
        least = max(celsius * _ABOUT_BAND, _ABOUT_LEAST)
        band = _SHORT.divide(least, written.unit.factor)
    message = f"'about' is read as ± {band.normalize():f}, a tenth (common practice)."
    told = note("quantity-about", message, place, start, written.end - start)
    return Written(written.value, band, written.unit, written.end, (*written.notes, told))


def _ended(written: Written, end: int) -> Written:
    return Written(written.value, written.band, written.unit, end, written.notes)


def _notes(pieces: list[_Piece], place: Place) -> tuple[Problem, ...]:
    found = []
    for piece in pieces:
        number, match = piece.number, piece.match
        if number.comma:
            message = f"The comma is read as a decimal point: {number.value:f}."
            size = number.end - number.start
            found.append(note("quantity-decimal-comma", message, place, number.start, size))
        if match and match.loose:
            message = f"The unit is read as {match.unit.name}; capitals matter in units."
            size = match.end - number.end
            found.append(note("quantity-unit-case", message, place, number.end, size))
    return tuple(found)


def is_percent(unit: Unit) -> bool:
    """Whether a unit is some kind of per cent."""
    return unit.name.startswith("%")


def _skip(text: str, pos: int) -> int:
    found = _SPACE.match(text, pos)
    return found.end() if found else pos
