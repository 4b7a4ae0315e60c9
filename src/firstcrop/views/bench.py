"""A run at the bench as rows: what each step should do, what was read, what that means."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType

from firstcrop.account.records import Alarm, Lesson
from firstcrop.forecast.records import Forecast, Number, StepForecast, Trace
from firstcrop.notebook.records import Entry, Kind
from firstcrop.views.numbers import show_number, show_value
from firstcrop.views.report import report
from firstcrop.views.rows import StepRow

MOST_POINTS = 60  # of a step's curve
ZERO = 273.15
UNITS = MappingProxyType(
    {"temperature": "K", "peak": "K", "pH": "pH", "volume": "m3", "mass": "kg", "crop": "kg"}
)


@dataclass(frozen=True, slots=True)
class BenchStep:
    """A step as the bench shows it. The curve is °C against minutes into the step."""

    number: int
    text: str
    vessel: str
    expect: tuple[str, ...]  # sentences, the most important first
    minutes: float
    limits: tuple[str, ...]
    answers: tuple[str, ...]  # what to take for each `?`
    cautions: tuple[str, ...]
    curve: tuple[tuple[float, float, float, float], ...]  # min, °C, low, high


@dataclass(frozen=True, slots=True)
class BenchSheet:
    """What a run keeps of the forecast it began with."""

    title: str
    makes: str
    theory: str
    steps: tuple[BenchStep, ...]
    cautions: tuple[str, ...]
    not_assessed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class EntryRow:
    """An entry for people."""

    number: int
    step: int
    kind: str
    text: str
    at: str
    who: str
    celsius: float | None  # of a temperature
    minutes: float | None  # into its step
    corrects: int
    reason: str
    photo: str
    stands: bool  # no later entry corrects it


@dataclass(frozen=True, slots=True)
class AlarmRow:
    """A reading outside its band."""

    entry: str
    step: int
    what: str
    read: str
    forecast: str
    means: str
    first: str


@dataclass(frozen=True, slots=True)
class LessonRow:
    """An input before and after the readings."""

    key: str
    label: str
    before: str
    after: str
    left: float  # width left, part of the width before


@dataclass(frozen=True, slots=True)
class AgainRow:
    """A number of a step, forecast from what was read."""

    step: int
    what: str
    shown: str


def bench_sheet(forecast: Forecast) -> BenchSheet:
    """The forecast as the bench shows it."""
    rows = report(forecast)
    answers: dict[int, list[str]] = {}
    for blank in rows.blanks:
        band = f" ({blank.band})" if blank.band else ""
        answers.setdefault(blank.step, []).append(f"{blank.answer}{band}: {blank.bound}")
    cautions: dict[int, list[str]] = {}
    for caution in forecast.cautions:
        said = f"{caution.message} {caution.remedy}".strip()
        cautions.setdefault(caution.step, []).append(said)
    steps = {step.number: step for step in forecast.steps}
    return BenchSheet(
        title=rows.title,
        makes=rows.makes,
        theory=rows.theory.full if rows.theory else "",
        steps=tuple(
            _step(row, steps[row.number], forecast.trace, answers, cautions) for row in rows.steps
        ),
        cautions=tuple(cautions.get(0, ())),
        not_assessed=rows.not_assessed,
    )


def _step(
    row: StepRow,
    step: StepForecast,
    trace: Trace,
    answers: Mapping[int, list[str]],
    cautions: Mapping[int, list[str]],
) -> BenchStep:
    return BenchStep(
        number=row.number,
        text=row.text,
        vessel=row.vessel,
        expect=tuple(_expect(row)),
        minutes=step.duration / 60.0,
        limits=tuple(f"{limit.text}: {limit.verdict}" for limit in row.limits),
        answers=tuple(answers.get(row.number, ())),
        cautions=tuple(cautions.get(row.number, ())),
        curve=_curve(step, trace),
    )


def _expect(row: StepRow) -> list[str]:
    if not row.vessel:
        return []
    found = [f"peak {row.peak.full}, ends at {row.ends.text}"]
    if row.lowest:
        found.append(f"as low as {row.lowest.full}")
    found.append(f"{row.volume} in the {row.vessel}, pH {row.ph.text}")
    if any(c.isdigit() for c in row.gas):
        found.append(f"gas: {row.gas}")
    if row.solids:
        found.append("solids: " + ", ".join(row.solids))
    return [*found, row.crowded] if row.crowded else found


def _curve(step: StepForecast, trace: Trace) -> tuple[tuple[float, float, float, float], ...]:
    at = [i for i, n in enumerate(trace.step) if n == step.number]
    if not at:
        return ()
    every = max(len(at) // MOST_POINTS, 1)
    kept = sorted({*at[::every], at[-1]})
    begun = trace.time[at[0]]

    def side(series: tuple[float, ...], i: int) -> float:
        return (series[i] if series else trace.temperature[i]) - ZERO

    return tuple(
        (
            round((trace.time[i] - begun) / 60.0, 3),
            round(trace.temperature[i] - ZERO, 2),
            round(side(trace.temperature_low, i), 2),
            round(side(trace.temperature_high, i), 2),
        )
        for i in kept
    )


def entry_rows(entries: tuple[Entry, ...]) -> tuple[EntryRow, ...]:
    """Every entry, also those that were corrected."""
    corrected = {e.reading.corrects for e in entries if e.reading.corrects}
    begun: dict[int, datetime] = {}
    for entry in entries:
        if entry.reading.kind is Kind.STEP_BEGUN:
            begun.setdefault(entry.reading.step, datetime.fromisoformat(entry.reading.at))
    return tuple(_entry(entry, entry.number not in corrected, begun) for entry in entries)


def _entry(entry: Entry, stands: bool, begun: Mapping[int, datetime]) -> EntryRow:
    reading = entry.reading
    hot = reading.unit == "K" and reading.value is not None
    start = begun.get(reading.step)
    passed = None
    if start is not None:
        passed = (datetime.fromisoformat(reading.at) - start).total_seconds() / 60.0
    return EntryRow(
        number=entry.number,
        step=reading.step,
        kind=reading.kind.value,
        text=reading.text or (show_value(reading.value, reading.unit) if reading.value else ""),
        at=reading.at,
        who=reading.who,
        celsius=round(reading.value - ZERO, 3) if hot and reading.value is not None else None,
        minutes=None if passed is None else round(passed, 3),
        corrects=reading.corrects,
        reason=reading.reason,
        photo=reading.photo,
        stands=stands,
    )


def alarm_rows(alarms: tuple[Alarm, ...]) -> tuple[AlarmRow, ...]:
    """Readings outside their bands, the farthest first."""
    return tuple(_alarm(alarm) for alarm in alarms)


def _alarm(alarm: Alarm) -> AlarmRow:
    of = alarm.surprise.evidence
    unit = UNITS.get(of.what, "1")
    told = alarm.surprise.forecast
    band = Number(told, told - alarm.surprise.band, told + alarm.surprise.band, unit)
    return AlarmRow(
        entry=of.label,
        step=of.step,
        what=of.what,
        read=show_value(of.value, unit),
        forecast=show_number(band, unit).full,
        means=alarm.means,
        first=alarm.first,
    )


def lesson_rows(lessons: tuple[Lesson, ...], most: float = 0.9) -> tuple[LessonRow, ...]:
    """Inputs the readings narrowed to at most this part of their width, the narrowest first."""
    kept = sorted((x for x in lessons if x.narrowed <= most), key=lambda x: x.narrowed)
    return tuple(
        LessonRow(
            x.key, x.label, _spread(x.before, x.unit), _spread(x.after, x.unit),
            round(x.narrowed, 3),
        )
        for x in kept
    )  # fmt: skip


def _spread(bounds: tuple[float, float, float], unit: str) -> str:
    value, low, high = bounds
    return show_number(Number(value, low, high, unit), unit).full


def again_rows(numbers: Mapping[tuple[str, int | str], Number]) -> tuple[AgainRow, ...]:
    """Peaks, ends, pH and crops of the run as forecast from what was read."""
    names = {"peak": "peak", "end": "ends at", "ph": "pH", "dry": "dry"}
    found = []
    for (kind, where), number in numbers.items():
        if kind in names and math.isfinite(number.value):
            step = where if isinstance(where, int) else 0
            what = names[kind] if isinstance(where, int) else f"{where}, {names[kind]}"
            unit = "pH" if kind == "ph" else number.unit
            found.append(AgainRow(step, what, show_number(number, unit).full))
    return tuple(found)
