"""The working of every number that belongs to a line of the sheet."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from firstcrop.bank.records import Datum, Source
from firstcrop.forecast.records import (
    Crop,
    Forecast,
    Influence,
    Number,
    StepForecast,
    Term,
    Working,
)
from firstcrop.views.crops import comparison_unit
from firstcrop.views.numbers import (
    Shown,
    fixed,
    joined,
    scale_for,
    show_number,
    show_value,
    significant,
)

COLD = 150.0  # K; a smaller term in K is a difference, not a temperature
INFLUENCES = 8  # named at most
FIGURES = 5  # figures of the largest addend


@dataclass(frozen=True, slots=True)
class TermRow:
    """One addend or factor, and the data rows it took."""

    label: str
    value: str
    note: str
    data: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WorkingRow:
    """A number, how it came about, and the check that the terms give it."""

    name: str
    result: Shown
    how: str
    terms: tuple[TermRow, ...]
    total: str  # "adds up to 43.7 °C"; '' when the terms are the balance of a solve
    law: str
    source: str
    notes: tuple[str, ...]
    influences: tuple[tuple[str, str], ...] = ()  # what the band is made of: name, shifts


HOW = MappingProxyType(
    {
        "sum": "the terms add up to it",
        "product": "the factors multiply to it",
        "solve": "found by solving; at the answer the terms balance",
    }
)


def numbers_on(forecast: Forecast, line: int) -> tuple[tuple[str, str, Number], ...]:
    """(name, unit to show in, number) for every number of the step, crop, blank or observation
    that stands on `line`; a step owns the lines down to the next one."""
    found: list[tuple[str, str, Number]] = []
    for step in forecast.steps:
        if step.number == step_at(forecast, line):
            found.extend(_of_step(step))
            found.extend(_blanks(forecast, step.number))
            found.extend(n for c in forecast.crops if c.step == step.number for n in _of_crop(c))
    for comparison in forecast.comparisons:
        if comparison.place.line == line:
            found.append((comparison.text, comparison_unit(comparison), comparison.forecast))
    if forecast.theory and _is_title(forecast, line):
        found.append(("theory", "kg", forecast.theory))
    return tuple(found)


def step_at(forecast: Forecast, line: int) -> int:
    """The number of the step whose lines include `line`; 0 when it is no step's."""
    starts = [s for s in forecast.steps if s.place.line <= line]
    if not starts:
        return 0
    last = max(starts, key=lambda s: s.place.line)
    lines = forecast.preparation.source_lines
    between = lines[last.place.line : line]
    left = any(text.startswith("#") for text in between)
    return 0 if left else last.number


def _is_title(forecast: Forecast, line: int) -> bool:
    """Whether the line stands before the first `##` section: the title and what it makes."""
    lines = forecast.preparation.source_lines[:line]
    return bool(lines) and not any(text.startswith("##") for text in lines)


def _blanks(forecast: Forecast, step: int) -> Iterator[tuple[str, str, Number]]:
    own = [blank for blank in forecast.blanks if blank.step == step]
    for number, blank in enumerate(own, 1):
        name = "blank" if len(own) == 1 else f"blank {number}"
        yield name, blank.number.unit, blank.number


def _of_step(step: StepForecast) -> Iterator[tuple[str, str, Number]]:
    yield "peak temperature", "", step.peak_temperature
    yield "lowest temperature", "", step.lowest_temperature
    yield "end temperature", "", step.end_temperature
    yield "volume at its highest", "", step.peak_volume
    yield "pH at the end", "pH", step.end_ph
    yield "gas", "", step.gas_volume
    if step.heat is not None:
        value = step.heat.value
        yield "heat", "", Number(value, value, value, step.heat.unit, step.heat)


def _of_crop(crop: Crop) -> Iterator[tuple[str, str, Number]]:
    label = f"crop {crop.number}"
    yield f"{label}, wet", "", crop.wet_mass
    yield f"{label}, dry", "", crop.dry_mass
    yield f"{label}, purity", "fraction", crop.purity
    yield f"{label}, yield", "fraction", crop.yield_fraction
    yield f"{label}, left in the liquor", "", crop.left_in_liquor


def working_rows(
    forecast: Forecast, line: int, what: str = "", sources: Mapping[str, Source] | None = None
) -> tuple[WorkingRow, ...]:
    """Every number on the line with its working; `what` narrows to names holding those words."""
    words = what.lower().split()
    return tuple(
        working_row(name, unit, number, sources or {})
        for name, unit, number in numbers_on(forecast, line)
        if all(word in name.lower() for word in words)
    )


def working_row(name: str, unit: str, number: Number, sources: Mapping[str, Source]) -> WorkingRow:
    """One number; without a working it says so rather than show nothing."""
    result = show_number(number, unit)
    working = number.working
    if working is None:
        why = number.why or "no working was kept for this number"
        return WorkingRow(name, result, "", (), "", "", "", (why,), influence_rows(number, unit))
    cited = sources.get(working.source)
    return WorkingRow(
        name=name,
        result=result,
        how=HOW.get(working.how, working.how),
        terms=tuple(
            _term(term, shown, sources)
            for term, shown in zip(working.terms, show_terms(working), strict=True)
        ),
        total=_total(working),
        law=working.law,
        source=cited.citation if cited else working.source,
        notes=working.notes + ((number.why,) if number.why else ()),
        influences=influence_rows(number, unit),
    )


def influence_rows(number: Number, unit: str = "") -> tuple[tuple[str, str], ...]:
    """What the band is made of, the largest first: each input and its shifts at its bounds;
    those below a hundredth of the band are left out."""
    half = (number.high - number.low) / 2.0
    worth = [i for i in number.influences if max(abs(i.down), abs(i.up)) > 0.01 * half]
    worth = sorted(worth, key=lambda i: -max(abs(i.down), abs(i.up)))[:INFLUENCES]
    return tuple((i.label, shift_text(i, unit or number.unit)) for i in worth)


def shift_text(influence: Influence, unit: str) -> str:
    """The shifts of a number when an input goes to its lower and to its upper bound."""
    unit = "K step" if unit == "K" else unit
    return f"{_shift(influence.down, unit)} / {_shift(influence.up, unit)}"


def _shift(value: float, unit: str) -> str:
    """A shift with its sign, to two figures."""
    scale = scale_for(unit, abs(value))
    text = fixed(value / scale.factor, max(significant(value / scale.factor, 2), 0))
    return joined(text if value < 0.0 else f"+{text}", scale.symbol)


def _term(term: Term, shown: str, sources: Mapping[str, Source]) -> TermRow:
    return TermRow(
        label=term.label,
        value=shown,
        note=term.note,
        data=tuple(_datum(datum, sources) for datum in term.data),
    )


def show_terms(working: Working) -> tuple[str, ...]:
    """Every term as text. Addends of one unit share scale and decimals, so that the reader can
    add them up; a temperature difference stays in K; factors get six figures."""
    if working.how == "product":
        return tuple(show_value(term.value, term.unit, 6) for term in working.terms)
    return tuple(_addend(term, working) for term in working.terms)


def _addend(term: Term, working: Working) -> str:
    if term.unit == "K":
        absolute = abs(term.value) > COLD
        shown = term.value - 273.15 if absolute else term.value
        return f"{fixed(shown, 2)} {'°C' if absolute else 'K'}"
    largest = max(abs(t.value) for t in working.terms if t.unit == term.unit)
    return _at_scale(term.value, term.unit, largest)


def _at_scale(value: float, unit: str, largest: float) -> str:
    """The value in the unit and with the decimals that suit the largest one beside it."""
    scale = scale_for(unit, largest)
    decimals = max(significant(largest / scale.factor, FIGURES), 0)
    return joined(fixed(value / scale.factor, decimals), scale.symbol)


def _datum(datum: Datum, sources: Mapping[str, Source]) -> str:
    cited = sources.get(datum.source)
    value = f"{datum.value:.6g} {datum.unit}".strip()
    place = f", {datum.where}" if datum.where else ""
    source = cited.citation if cited else datum.source
    return f"{datum.label or 'value'} = {value} [{datum.obtained.value}] {source}{place}"


def _total(working: Working) -> str:
    if working.how == "solve" or not working.terms:
        return ""
    values = [term.value for term in working.terms]
    if working.how == "product":
        return f"multiplies to {show_value(math.prod(values), working.unit, FIGURES)}"
    result = Term("", math.fsum(values), working.unit)
    return f"adds up to {_addend(result, working)}"
