"""Vessels too small: over the brim, or too full for the gas that comes off."""

from __future__ import annotations

import math

from firstcrop.cautions.air import MOLAR_VOLUME
from firstcrop.cautions.say import millilitres, say
from firstcrop.cautions.scene import Scene
from firstcrop.forecast.records import Caution, StepForecast
from firstcrop.problems import Severity

ROOM = 0.9  # part of the brim that may be filled
THIRD = 1.0 / 3.0  # part a foaming liquor may fill: the three-times-volume rule
FOAMING = 0.2  # gas volume per liquor volume from which it counts as foaming


def fullness(scene: Scene) -> tuple[Caution, ...]:
    """One caution per step whose vessel is over-full, nearly full, or too full for its gas."""
    found = []
    for step in scene.forecast.steps:
        if math.isnan(step.capacity) or step.capacity <= 0.0:
            continue
        caution = _brim(step) or _foam(step)
        if caution is not None:
            found.append(caution)
    return tuple(found)


def _brim(step: StepForecast) -> Caution | None:
    peak, capacity = step.peak_volume, step.capacity
    top = peak.high if math.isfinite(peak.high) else peak.value
    if not top > ROOM * capacity:
        return None
    over = peak.value > capacity
    likely = "runs over" if over else "may run over" if top > capacity else "is nearly full"
    return say(
        "vessel-full",
        step.number,
        step.place,
        severity=Severity.ERROR if over else Severity.WARNING,
        vessel=step.vessel or "vessel",
        likely=likely,
        top=millilitres(top),
        capacity=millilitres(capacity),
    )


def _foam(step: StepForecast) -> Caution | None:
    liquor = max(step.start.volume, step.end.volume)
    gas = math.fsum(amount for _, amount in step.gas.items) * MOLAR_VOLUME
    if liquor <= 0.0 or gas < FOAMING * liquor or liquor <= THIRD * step.capacity:
        return None
    return say(
        "vessel-foam",
        step.number,
        step.place,
        vessel=step.vessel or "vessel",
        liquor=millilitres(liquor),
        gas=millilitres(gas),
        capacity=millilitres(step.capacity),
        needed=millilitres(3.0 * liquor),
    )
