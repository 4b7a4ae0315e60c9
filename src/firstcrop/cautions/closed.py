"""Gas or vapour in a closed vessel."""

from __future__ import annotations

import math

from firstcrop.bank.lookup import plain_name
from firstcrop.bank.mixing import load_gas_hazards
from firstcrop.cautions.air import MOLAR_VOLUME
from firstcrop.cautions.say import say, volume
from firstcrop.cautions.scene import Scene
from firstcrop.forecast.records import Caution, StepForecast
from firstcrop.problems import Place

NOTICEABLE = 1e-4  # mol of gas in a closed vessel
PRESSURE = "hot liquor builds pressure"
MEETING = "what meets here gives off gas"
GAS_CONSTANT = 8.31446  # J/(mol K)
HOT = 343.15  # K: above it a stoppered watery liquor builds pressure


def closed(scene: Scene) -> tuple[Caution, ...]:
    """One caution per step that gives off gas, or gets hot, in a vessel said to be closed."""
    names = {plain_name(v.name) for v in scene.forecast.preparation.vessels if v.closed}
    if not names:
        return ()
    found: dict[int, Caution] = {}
    for step in scene.forecast.steps:
        if plain_name(step.vessel) not in names:
            continue
        gas = sum(amount for _, amount in step.gas.items)
        if gas > NOTICEABLE:
            told = f"{volume(gas * MOLAR_VOLUME)} of gas has nowhere to go{_pressure(step, gas)}"
            found[step.number] = say("closed-vessel", step.number, step.place, told=told)
        elif step.peak_temperature.value > HOT:
            found[step.number] = say("closed-vessel", step.number, step.place, told=PRESSURE)
    for step_number, place, vessel in _reacting(scene):
        if vessel in names and step_number not in found:
            found[step_number] = say("closed-vessel", step_number, place, told=MEETING)
    return tuple(found.values())


def _pressure(step: StepForecast, gas: float) -> str:
    """What the gas would come to in the headspace, '' when its size is not known."""
    head = step.capacity - step.end.volume
    if not head > 0.0 or not math.isfinite(step.end.temperature):
        return ""
    bar = gas * GAS_CONSTANT * step.end.temperature / head / 1e5
    return f", {bar:.2g} bar above the air's own in {volume(head)} of headspace"


def _reacting(scene: Scene) -> tuple[tuple[int, Place, str], ...]:
    gases = set(load_gas_hazards())
    return tuple(
        (m.meeting.step, m.meeting.place, m.meeting.vessel)
        for m in scene.met
        if m.pairing.product in gases
    )
