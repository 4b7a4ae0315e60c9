"""Gas the forecast sees: how much air it would spoil, near the vessel and in the room."""

from __future__ import annotations

from firstcrop.bank.air import danger_limit, short_limit
from firstcrop.bank.mixing import GasHazard, load_gas_hazards
from firstcrop.cautions.air import MILLION, MOLAR_VOLUME, air_cases, gases, room_of, room_words
from firstcrop.cautions.records import AirCase
from firstcrop.cautions.say import say, volume
from firstcrop.cautions.scene import Scene
from firstcrop.forecast.records import Caution, StepForecast, Trace
from firstcrop.problems import Severity

ENOUGH = 4e-4  # mol of a flammable gas, 10 mL
HEADS = 2.0  # times the air around a head that a gas brings to the dangerous level: grave
STIFLING = 0.05  # m3 of carbon dioxide that matter in a small room


def gas_given_off(scene: Scene) -> tuple[Caution, ...]:
    """One caution per gas and step, toxic or flammable or stifling."""
    table = load_gas_hazards()
    cases = {(case.step, case.gas): case for case in air_cases(scene.forecast)}
    rates = _peak_rates(scene.forecast.trace)
    found = []
    for step, gas, amount in gases(scene.forecast):
        hazard, case = table.get(gas), cases.get((step.number, gas))
        if hazard is None:
            told = f"{volume(amount * MOLAR_VOLUME)} in all."
            found.append(
                say("gas.unknown", step.number, step.place, code=f"gas.unknown.{gas}", name=gas,
                    told=told)
            )  # fmt: skip
            continue
        if hazard.toxic and case is not None:
            found += _toxic(scene, step, hazard, case)
        if hazard.flammable and amount > ENOUGH:
            found.append(_flammable(step, hazard, amount, rates.get(step.number, 0.0)))
        if hazard.kind == "asphyxiant" and case is not None:
            found += _stifling(scene, step, hazard, case)
    return tuple(found)


def _peak_rates(trace: Trace) -> dict[int, float]:
    """Step -> the highest gas rate in it, m3/s."""
    found: dict[int, float] = {}
    for number, rate in zip(trace.step, trace.gas_rate, strict=False):
        if rate > found.get(number, 0.0):
            found[number] = rate
    return found


def _toxic(scene: Scene, step: StepForecast, hazard: GasHazard, case: AirCase) -> list[Caution]:
    """Grave where it could fill the air around a head to the dangerous level, or where the room
    comes to it; a warning where it passes a short-term limit there."""
    room = room_of(scene.forecast.preparation)
    size = case.amount * MOLAR_VOLUME
    danger, short = danger_limit(hazard.gas), short_limit(hazard.gas)
    deadly = size / (danger.ppm / MILLION) if danger else 0.0
    harmful = size / (short.ppm / MILLION) if short else 0.0
    over = case.near_ppm > case.short
    if not over and deadly < room.head and harmful < room.head and (danger or short):
        return []
    grave = deadly > HEADS * room.head or case.near_ppm > case.danger
    told = f"{volume(size)} of {hazard.name} in all."
    if danger:
        told += f" It brings {deadly:.2g} m³ of air to {danger.words}."
    told += _in_room(case, room_words(room))
    told += f" Note: {hazard.note}." if hazard.note else ""
    severity = Severity.ERROR if grave else Severity.WARNING
    return [_say("gas.toxic", step, hazard, told, severity)]


def _in_room(case: AirCase, room: str) -> str:
    return (
        f" In {room} it comes to {case.room_ppm:.2g} ppm, near the bench to {case.near_ppm:.2g} ppm"
        + (f"; limits: {case.limits}." if case.limits else "; no limit is known.")
    )


def _flammable(step: StepForecast, hazard: GasHazard, amount: float, rate: float) -> Caution:
    size = amount * MOLAR_VOLUME
    told = f"{volume(size)} of {hazard.name}"
    if rate > 0.0:
        told += f", at most {volume(rate * 60.0)} a minute,"
    if hazard.lfl:
        told += f" enough to make {volume(size / hazard.lfl)} of air burn"
        told += f" (lower flammable limit {hazard.lfl * 100:g} %)"
    return _say("gas.flammable", step, hazard, f"{told}.", Severity.WARNING)


def _stifling(scene: Scene, step: StepForecast, hazard: GasHazard, case: AirCase) -> list[Caution]:
    size = case.amount * MOLAR_VOLUME
    if size <= STIFLING and not case.near_ppm > case.short:
        return []
    grave = case.near_ppm > case.danger
    told = f"{volume(size)}: it gathers in low places and drives out air."
    told += _in_room(case, room_words(room_of(scene.forecast.preparation)))
    severity = Severity.ERROR if grave else Severity.NOTE
    return [_say("gas.stifling", step, hazard, told, severity)]


def _say(key: str, step: StepForecast, hazard: GasHazard, told: str, severity: Severity) -> Caution:
    return say(
        key,
        step.number,
        step.place,
        code=f"{key}.{hazard.gas}",
        severity=severity,
        name=hazard.name,
        told=told,
    )
