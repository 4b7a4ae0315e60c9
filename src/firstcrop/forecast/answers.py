"""Answers to blanks in the writer's own units."""

from __future__ import annotations

import math

from firstcrop.forecast.bands import Bands
from firstcrop.forecast.records import BlankAnswer, Number, Term, Working
from firstcrop.forecast.simulate import Run
from firstcrop.forecast.task import Answer
from firstcrop.problems import UNPLACED
from firstcrop.quantity.read import read_quantity
from firstcrop.quantity.records import Kind, Quantity

USUAL = (("kg", "g"), ("m3", "mL"), ("s", "min"), ("K", "°C"), ("m3/s", "mL/min"))


def blank_answers(run: Run, bands: Bands) -> tuple[BlankAnswer, ...]:
    """Every `?` with its value, band and bound, in order."""
    return tuple(_answer(bands, i, a) for i, a in enumerate(run.findings.answers))


def _answer(bands: Bands, index: int, a: Answer) -> BlankAnswer:
    number = bands.number(("answer", index), a.unit, _working(a))
    return BlankAnswer(a.place, a.step, _text(a, number), number, a.bound)


def _working(a: Answer) -> Working:
    terms = tuple(Term(label, value, a.unit, note) for label, value, note in a.terms)
    return Working(
        a.value,
        a.unit,
        "sum" if terms else "solve",
        terms or (Term(a.bound, a.value, a.unit),),
        "the step run until its end is just met",
    )


def _factor(unit: str) -> tuple[float, Kind | None]:
    """SI value of one of a unit, and its kind."""
    if not unit:
        return 1.0, None
    one = read_quantity(f"1 {unit}", UNPLACED)
    return (one.value, one.kind) if isinstance(one, Quantity) else (1.0, None)


def _text(a: Answer, number: Number) -> str:
    """As it would be written in the sheet."""
    if a.kind == "portions":
        count = round(number.value)
        return f"{count} portion{'s' if count != 1 else ''}"
    unit = a.written or dict(USUAL).get(number.unit, "")
    if number.unit == "K":
        return f"{number.value - 273.15:.1f} °C"
    factor, _ = _factor(unit)
    if number.unit == "s" and not a.written:
        factor, unit = (60.0, "min") if number.value >= 60.0 else (1.0, "s")
    value = number.value / factor if factor else math.nan
    return f"{significant(value)} {unit}".strip()


def significant(value: float, digits: int = 3) -> str:
    """A value to so many figures, without an exponent."""
    if not math.isfinite(value) or value == 0.0:
        return f"{value:.3g}"
    places = max(digits - 1 - math.floor(math.log10(abs(value))), 0)
    return f"{value:.{places}f}"
