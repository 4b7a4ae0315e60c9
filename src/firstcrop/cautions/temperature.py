"""Limits broken, boiling that nobody asked for, and sudden heat."""

from __future__ import annotations

import math

from firstcrop.cautions.scene import Scene
from firstcrop.forecast.records import Caution, Limit, StepForecast
from firstcrop.problems import Severity
from firstcrop.sheet.records import Verb

BOILING = 372.0  # K, water at sea level, less a degree
WANTED_BOILING = (Verb.BOIL_DOWN, Verb.REFLUX, Verb.HEAT, Verb.DRY)
ADDITIONS = (Verb.ADD, Verb.PUT, Verb.DISSOLVE, Verb.DILUTE, Verb.COMBINE, Verb.TITRATE)
JUMP = 30.0  # K that an addition may warm a liquor before it deserves a word
CELSIUS = 273.15


def temperature(scene: Scene) -> tuple[Caution, ...]:
    """Cautions of one step each, in step order."""
    verbs = {s.number: {c.verb for c in s.clauses} for s in scene.forecast.preparation.steps}
    found: list[Caution] = []
    for step in scene.forecast.steps:
        doing = verbs.get(step.number, set())
        found += _limits(step)
        if not doing & set(WANTED_BOILING):
            found += _boiling(step)
            found += _jump(step) if doing & set(ADDITIONS) else []
    return tuple(found)


def _c(kelvin: float) -> str:
    return f"{kelvin - CELSIUS:.0f} °C"


def _limits(step: StepForecast) -> list[Caution]:
    found = [_broken(step, limit) for limit in step.limits if not limit.kept]
    found += [
        _close(step, limit)
        for limit in step.limits
        if limit.kept and "below" in limit.text and "°" in limit.text
        if math.isfinite(step.peak_temperature.high) and step.peak_temperature.high > limit.value
    ]
    return found


def _broken(step: StepForecast, limit: Limit) -> Caution:
    thermal = "°" in limit.text
    reached = _c(limit.reached) if thermal else f"{limit.reached:.3g}"
    return Caution(
        code="limit-broken",
        severity=Severity.ERROR,
        message=f"The limit “{limit.text}” is broken: {reached} is reached.",
        why="The sheet itself sets this limit.",
        source="the sheet",
        remedy="Add more slowly or in more portions, cool harder, or start colder.",
        step=step.number,
        place=limit.place,
    )


def _close(step: StepForecast, limit: Limit) -> Caution:
    return Caution(
        code="limit-close",
        severity=Severity.WARNING,
        message=f"The limit “{limit.text}” holds only narrowly.",
        why=f"The band of the peak reaches {_c(step.peak_temperature.high)}.",
        source="the forecast's 90 % band",
        remedy="Watch the thermometer and stop adding before the limit.",
        step=step.number,
        place=limit.place,
    )


def _boiling(step: StepForecast) -> list[Caution]:
    peak = step.peak_temperature
    top = peak.high if math.isfinite(peak.high) else peak.value
    if not top >= BOILING or step.start.temperature > peak.value - 1.0:
        return []  # cool enough, or hot already when the step began
    sure = peak.value >= BOILING
    return [
        Caution(
            code="boils-over",
            severity=Severity.ERROR if sure else Severity.WARNING,
            message="The liquor boils by its own heat." if sure else "The liquor may boil.",
            why=f"The peak is {_c(peak.value)}, up to {_c(top)}; it spatters and throws out.",
            source="boiling point of water at sea level",
            remedy="Smaller portions, more time, cooling, or more water.",
            step=step.number,
            place=step.place,
        )
    ]


def _jump(step: StepForecast) -> list[Caution]:
    rise = step.peak_temperature.value - step.start.temperature
    if not rise > JUMP or step.peak_temperature.value >= BOILING:
        return []
    return [
        Caution(
            code="sudden-heat",
            severity=Severity.WARNING,
            message=f"The addition warms the liquor by {rise:.0f} K.",
            why=f"From {_c(step.start.temperature)} to {_c(step.peak_temperature.value)}.",
            source="the forecast",
            remedy="Add in portions or over time, stirred, with a bath at hand.",
            step=step.number,
            place=step.place,
        )
    ]
