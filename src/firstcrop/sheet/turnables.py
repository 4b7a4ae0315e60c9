"""What can be turned in a sheet: strengths, amounts, baths, rates, each with its place."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from firstcrop.problems import Place
from firstcrop.quantity.records import Kind, Quantity
from firstcrop.sheet.records import Clause, Preparation, Step

NUMBER = re.compile(r"(?<!\d)[-−]?\d+(?:[.,]\d+)?")
FIELDS = (
    ("amount", "amount", "of", "what"),
    ("solvent_amount", "amount", "of", "solvent"),
    ("rate", "rate of adding", "", "what"),
    ("over", "time", "for", "what"),
    ("duration", "time", "", ""),
    ("to_temperature", "brought to", "", ""),
    ("at", "at", "", ""),
    ("to_volume", "down to", "", ""),
)
SPAN = 0.5  # turned by half its value either way
DEGREES = 15.0  # either way


@dataclass(frozen=True, slots=True)
class Turnable:
    """A written number one may turn: `length` characters at `line` and `column`. `label` is the
    name its share of a spread goes by where there is one; `low` and `high` bound the slider."""

    kind: str  # strength, amount, rate, time, temperature
    label: str
    where: str
    line: int
    column: int
    length: int
    value: float
    unit: str
    low: float
    high: float
    step: float


def turnables(sheet: Preparation) -> tuple[Turnable, ...]:
    """Every number worth turning, in the order of the text."""
    found = [*_strengths(sheet), *(t for s in sheet.steps for t in _of_step(sheet, s))]
    unique = {(t.line, t.column): t for t in found}
    return tuple(unique[key] for key in sorted(unique))


def _strengths(sheet: Preparation) -> Iterator[Turnable]:
    for material in sheet.materials:
        text, place = material.strength_text, material.strength_place
        line = _line(sheet.source_lines, place)
        start = line.find(text, max(place.column - 1, 0)) if text else -1
        number = NUMBER.search(line, start) if start >= 0 else None
        if number and number.start() < start + len(text):
            label = f"strength of {material.name}"
            yield _turnable("strength", label, "Materials", place.line, number, text, Kind.FRACTION)


def _of_step(sheet: Preparation, step: Step) -> Iterator[Turnable]:
    for clause in step.clauses:
        yield from _of_clause(sheet, step, clause)
        for means in clause.means:
            for quantity in (means.temperature, means.power):
                if quantity is not None:
                    label = f"{means.kind}"
                    yield from _quantity(sheet, step, quantity, means.place, label)


def _of_clause(sheet: Preparation, step: Step, clause: Clause) -> Iterator[Turnable]:
    for name, words, joint, of in FIELDS:
        value = getattr(clause, name)
        if isinstance(value, Quantity) and value.text:
            matter = getattr(clause, of) if of else ""
            label = " ".join(w for w in (words, joint, matter) if w) if matter else words
            yield from _quantity(sheet, step, value, clause.at_field(name), label)


def _quantity(
    sheet: Preparation, step: Step, value: Quantity, place: Place, label: str
) -> Iterator[Turnable]:
    line = _line(sheet.source_lines, place)
    start = line.find(value.text, max(place.column - 1, 0)) if value.text else -1
    number = NUMBER.search(line, start) if start >= 0 else None
    if number and number.start() < start + len(value.text):
        kind = _kind(value.kind)
        where = f"step {step.number}"
        yield _turnable(kind, label, where, place.line, number, value.text, value.kind)


def _kind(kind: Kind) -> str:
    if kind is Kind.TIME:
        return "time"
    if kind is Kind.TEMPERATURE:
        return "temperature"
    rates = (Kind.MASS_FLOW, Kind.VOLUME_FLOW, Kind.HEATING_RATE)
    return "rate" if kind in rates else "amount"


def _turnable(
    sort: str, label: str, where: str, line: int, number: re.Match[str], text: str, kind: Kind
) -> Turnable:
    written = number.group()
    value = float(written.replace(",", ".").replace("−", "-"))
    span = DEGREES if kind is Kind.TEMPERATURE else SPAN * value
    share = sort == "strength" and "%" in text
    high = min(value + span, 100.0) if share else value + span
    low = value - span if kind is Kind.TEMPERATURE else max(value - span, 0.0)
    digits = len(written.partition(",")[2] or written.partition(".")[2])
    step = 10.0**-digits
    while step > (high - low) / 20.0 > 0.0:
        step /= 10.0
    low = value - math.floor((value - low) / step + 1e-9) * step  # a slider stops at low + n steps
    high = value + math.floor((high - value) / step + 1e-9) * step
    unit = text.partition(written)[2].partition(",")[0].strip()
    return Turnable(
        sort, label, where, line, number.start() + 1, len(written), value, unit, low, high, step
    )


def _line(lines: Sequence[str], place: Place) -> str:
    return lines[place.line - 1] if 0 < place.line <= len(lines) else ""
