"""A forecast beside its text: the report's rows, and what belongs at which words of the sheet."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import cache
from typing import Any

from firstcrop.forecast.records import Forecast, Limit, Number, StepForecast
from firstcrop.problems import Place, Problem
from firstcrop.views.numbers import show_number
from firstcrop.views.problems import clean, in_order
from firstcrop.views.report import report
from firstcrop.views.rows import Report
from firstcrop.views.steps import limit_row
from firstcrop.views.working import shift_text

Json = dict[str, Any]
DID_YOU_MEAN = re.compile(r"did you mean ['“]?(.+?)['”]?\?", re.IGNORECASE)
SLIGHT = 0.005  # share of a band's variance below which an input is left out


@dataclass(frozen=True, slots=True)
class Mark:
    """Words to underline: `kind` is error, warning, note, broken or doubtful; `fix` is what to
    put in their place, '' when there is nothing so definite."""

    line: int
    column: int
    length: int
    kind: str
    message: str
    hint: str
    fix: str = ""


@dataclass(frozen=True, slots=True)
class Filling:
    """A `?` and its answer, with where the mark stands."""

    line: int
    column: int
    step: int
    answer: str
    band: str
    bound: str


@dataclass(frozen=True, slots=True)
class Level:
    """How full a step's vessel gets, as parts of what it holds to the brim; None: not known."""

    step: int
    end: float | None
    peak: float | None


@dataclass(frozen=True, slots=True)
class Share:
    """An uncertain input and the part of a number's spread that is its own."""

    label: str
    share: float
    shifts: str


@dataclass(frozen=True, slots=True)
class Spread:
    """A number worth watching, SI, and the inputs its band is made of, the largest first."""

    name: str
    line: int
    shown: str
    value: float
    low: float
    high: float
    shares: tuple[Share, ...]


@dataclass(frozen=True, slots=True)
class Live:
    """All the page shows while one writes. `bands` tells whether they are computed yet."""

    bands: bool
    report: Report
    levels: tuple[Level, ...]
    marks: tuple[Mark, ...]
    fillings: tuple[Filling, ...]
    spreads: tuple[Spread, ...]


def live(forecast: Forecast, bands: bool) -> Live:
    """The rows of a forecast and their places; what it rests on comes with the bands."""
    rows = report(forecast, basis=bands)
    return Live(
        bands=bands,
        report=replace(rows, basis=()),  # long, and in the JSON document
        levels=tuple(_level(step) for step in forecast.steps),
        marks=(*_problem_marks(forecast), *_limit_marks(forecast)),
        fillings=tuple(_fillings(forecast, rows)),
        spreads=tuple(_spreads(forecast)),
    )


def plain(value: Any) -> Any:
    """Rows as JSON: a record is an object, a tuple a list, `yield_` is `yield`."""
    kind = type(value)
    if kind is str or kind is int or kind is bool or value is None:
        return value
    if kind is tuple or kind is list:
        return [plain(item) for item in value]
    if kind is float:
        return value if math.isfinite(value) else None
    if is_dataclass(kind):
        return {key: plain(getattr(value, name)) for name, key in _keys(kind)}
    return value


@cache
def _keys(kind: type) -> tuple[tuple[str, str], ...]:
    """The fields of a record and their keys in JSON."""
    return tuple((f.name, f.name.rstrip("_")) for f in fields(kind))


def _level(step: StepForecast) -> Level:
    end = _part(step.end.volume, step.capacity)
    return Level(step.number, end, _part(step.peak_volume.value, step.capacity))


def _part(volume: float, capacity: float) -> float | None:
    part = volume / capacity if capacity else math.nan
    return round(part, 4) if math.isfinite(part) else None


def _problem_marks(forecast: Forecast) -> Iterator[Mark]:
    for problem in in_order(forecast.problems):
        for place in problem.places[:1]:
            if place.line > 0 and not place.file.endswith(".tsv"):
                yield _problem_mark(problem, place)


def _problem_mark(problem: Problem, place: Place) -> Mark:
    close = DID_YOU_MEAN.search(problem.hint)
    return Mark(
        place.line,
        place.column,
        max(place.length, 1),
        "broken" if problem.code == "limit broken" else problem.severity.value,
        clean(problem.message),
        clean(problem.hint),
        clean(close.group(1)) if close and " or " not in close.group(1) else "",
    )


def _limit_marks(forecast: Forecast) -> Iterator[Mark]:
    """Limits kept only by part of the band; broken ones are Problems already."""
    for step in forecast.steps:
        for limit in step.limits:
            row = limit_row(limit, step)
            if row.kept and not row.sure:
                yield _limit_mark(limit, row.verdict)


def _limit_mark(limit: Limit, verdict: str) -> Mark:
    place = limit.place
    return Mark(place.line, place.column, place.length, "doubtful", f"{limit.text}: {verdict}", "")


def _fillings(forecast: Forecast, rows: Report) -> Iterator[Filling]:
    lines = forecast.preparation.source_lines
    blanks = sorted(forecast.blanks, key=lambda b: b.place.line)
    for blank, row in zip(blanks, rows.blanks, strict=True):
        place = blank.place
        line = lines[place.line - 1] if 0 < place.line <= len(lines) else ""
        at = line.find("?", max(place.column - 1, 0))
        if at >= 0:
            yield Filling(place.line, at + 1, blank.step, row.answer, row.band, row.bound)


def _spreads(forecast: Forecast) -> Iterator[Spread]:
    for crop in forecast.crops:
        yield from _spread(f"crop {crop.number}, dry", crop.place.line, crop.dry_mass)
    for step in forecast.steps:
        name = f"step {step.number}, peak temperature"
        yield from _spread(name, step.place.line, step.peak_temperature)
    for blank in forecast.blanks:
        yield from _spread(f"step {blank.step}, the ? of it", blank.place.line, blank.number)


def _spread(name: str, line: int, number: Number) -> Iterator[Spread]:
    if math.isnan(number.value):
        return
    weights = [max(abs(i.down), abs(i.up)) ** 2 for i in number.influences]
    whole = math.fsum(weights)
    shares = [
        Share(i.label, round(w / whole, 4), shift_text(i, number.unit))
        for i, w in zip(number.influences, weights, strict=True)
        if w > SLIGHT * whole
    ]
    shares.sort(key=lambda s: -s.share)
    shown = show_number(number).full
    yield Spread(name, line, shown, number.value, number.low, number.high, tuple(shares))
