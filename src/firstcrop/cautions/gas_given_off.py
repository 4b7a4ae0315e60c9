"""Gas the forecast sees: how much air it would spoil."""

from __future__ import annotations

from firstcrop.bank.mixing import GasHazard, load_gas_hazards
from firstcrop.cautions.scene import MOLAR_VOLUME, Scene
from firstcrop.forecast.records import Caution, StepForecast
from firstcrop.problems import Severity

HEAD = 0.5  # m3 of air around a person's head: less than this at a harmful level passes unnoticed
HYDROGEN_ENOUGH = 4e-4  # mol of a flammable gas, 10 mL
STIFLING = 0.05  # m3 of carbon dioxide that matter in a small room


def gas_given_off(scene: Scene) -> tuple[Caution, ...]:
    """One caution per gas and step, toxic or flammable or stifling."""
    table = load_gas_hazards()
    found = []
    for step, gas, amount in scene.gases():
        hazard = table.get(gas)
        if hazard is None:
            found.append(_unknown(step, gas, amount))
            continue
        if hazard.toxic:
            found += _toxic(step, hazard, amount)
        if hazard.flammable and amount > HYDROGEN_ENOUGH:
            found.append(_flammable(step, hazard, amount))
        if hazard.kind == "asphyxiant" and amount * MOLAR_VOLUME > STIFLING:
            found.append(_stifling(step, hazard, amount))
    return tuple(found)


def _volume(amount: float) -> float:
    return amount * MOLAR_VOLUME


def _told(volume: float) -> str:
    """A volume in m3 for people, two figures: 3.6 L, 450 mL."""
    size, unit = (volume * 1e3, "L") if volume >= 1e-3 else (volume * 1e6, "mL")
    return f"{float(f'{size:.2g}'):g} {unit}"


def _toxic(step: StepForecast, hazard: GasHazard, amount: float) -> list[Caution]:
    volume = _volume(amount)
    deadly = volume / (hazard.danger * 1e-6) if hazard.danger else 0.0
    harmful = volume / (hazard.short * 1e-6) if hazard.short else 0.0
    if deadly < HEAD and harmful < HEAD and (hazard.danger or hazard.short):
        return []
    severity = Severity.ERROR if deadly > HEAD else Severity.WARNING
    why = f"{_told(volume)} of {hazard.name} in all."
    if hazard.danger:
        why += f" It brings {deadly:.2g} m3 of air to {hazard.danger:g} ppm, dangerous to life."
    elif hazard.short:
        why += (
            f" It brings {harmful:.2g} m3 of air to the short-term limit of {hazard.short:g} ppm."
        )
    if hazard.note:
        why += f" Note: {hazard.note}."
    return [
        Caution(
            code=f"gas.toxic.{hazard.gas}",
            severity=severity,
            message=f"{hazard.name.capitalize()}, a toxic gas, is given off.",
            why=why,
            source=hazard.source,
            remedy="Work under a hood or outdoors, upwind; go slower; or change the procedure.",
            step=step.number,
            place=step.place,
        )
    ]


def _flammable(step: StepForecast, hazard: GasHazard, amount: float) -> Caution:
    volume = _volume(amount)
    why = f"{_told(volume)} of {hazard.name}"
    if hazard.lfl:
        why += f": enough to make {_told(volume / hazard.lfl)} of air burn"
    return Caution(
        code=f"gas.flammable.{hazard.gas}",
        severity=Severity.WARNING,
        message=f"{hazard.name.capitalize()}, a flammable gas, is given off.",
        why=f"{why}.",
        source=hazard.source,
        remedy="Keep flames, sparks and hot plates away, leave the vessel open, air the room.",
        step=step.number,
        place=step.place,
    )


def _stifling(step: StepForecast, hazard: GasHazard, amount: float) -> Caution:
    return Caution(
        code=f"gas.stifling.{hazard.gas}",
        severity=Severity.NOTE,
        message=f"Much {hazard.name} is given off.",
        why=f"{_told(_volume(amount))}: it gathers in low places and drives out air.",
        source=hazard.source,
        remedy="Air the room.",
        step=step.number,
        place=step.place,
    )


def _unknown(step: StepForecast, gas: str, amount: float) -> Caution:
    return Caution(
        code=f"gas.unknown.{gas}",
        severity=Severity.WARNING,
        message=f"{gas} is given off and the bank does not know what it does.",
        why=f"{_told(_volume(amount))} in all.",
        source="",
        remedy="Look it up before you start.",
        step=step.number,
        place=step.place,
        unverified=True,
    )
