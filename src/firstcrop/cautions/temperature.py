"""Limits broken, boiling that nobody asked for, and sudden heat."""

from __future__ import annotations

import math

from firstcrop.cautions.say import celsius, say
from firstcrop.cautions.scene import Scene
from firstcrop.forecast.records import Caution, Limit, StepForecast
from firstcrop.problems import Severity
from firstcrop.sheet.records import Verb

BOILING = 372.0  # K, water at sea level, less a degree
WANTED_BOILING = (Verb.BOIL_DOWN, Verb.REFLUX, Verb.HEAT, Verb.DRY)
ADDITIONS = (Verb.ADD, Verb.PUT, Verb.DISSOLVE, Verb.DILUTE, Verb.COMBINE, Verb.TITRATE)
JUMP = 30.0  # K that an addition may warm a liquor before it deserves a word


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
    reached = celsius(limit.reached) if "°" in limit.text else f"{limit.reached:.3g}"
    return say("limit-broken", step.number, limit.place, limit=limit.text, reached=reached)


def _close(step: StepForecast, limit: Limit) -> Caution:
    reached = celsius(step.peak_temperature.high)
    return say("limit-close", step.number, limit.place, limit=limit.text, reached=reached)


def _boiling(step: StepForecast) -> list[Caution]:
    peak = step.peak_temperature
    top = peak.high if math.isfinite(peak.high) else peak.value
    if not top >= BOILING or step.start.temperature > peak.value - 1.0:
        return []  # cool enough, or hot already when the step began
    sure = peak.value >= BOILING
    return [
        say(
            "boils-over",
            step.number,
            step.place,
            severity=Severity.ERROR if sure else Severity.WARNING,
            message="The liquor boils by its own heat." if sure else "The liquor may boil.",
            peak=celsius(peak.value),
            top=celsius(top),
        )
    ]


def _jump(step: StepForecast) -> list[Caution]:
    start, peak = step.start.temperature, step.peak_temperature.value
    if not peak - start > JUMP or peak >= BOILING:
        return []
    return [
        say(
            "sudden-heat",
            step.number,
            step.place,
            rise=f"{peak - start:.0f}",
            start=celsius(start),
            peak=celsius(peak),
        )
    ]
