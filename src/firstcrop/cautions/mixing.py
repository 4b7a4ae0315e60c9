"""Things that must not meet: cautions with the gas they could make and the room it would fill."""

from __future__ import annotations

import math

from firstcrop.bank.mixing import Pairing, load_gas_hazards
from firstcrop.cautions.air import MOLAR_VOLUME, case, room_of, room_words
from firstcrop.cautions.pairs import Met
from firstcrop.cautions.say import say, volume
from firstcrop.cautions.scene import Scene, graver, softer
from firstcrop.forecast.records import Caution
from firstcrop.problems import Severity
from firstcrop.sheet.records import Preparation

CLINGING = " (in what clings from before)"
SMALL = 1e-6  # mol


def mixing(scene: Scene) -> tuple[Caution, ...]:
    """One caution per pair of substances and reason, at the first and gravest meeting."""
    found: dict[tuple[str, str, str], tuple[Severity, Met]] = {}
    for met in scene.met:
        key = (met.pairing.key, met.a, met.b)
        now = severity_of(met)
        earlier = found.get(key)
        if earlier is None or graver(earlier[0], now) is not earlier[0]:
            found[key] = (now, met)
    return tuple(
        _caution(scene.forecast.preparation, severity, met) for severity, met in found.values()
    )


def severity_of(met: Met) -> Severity:
    """The pairing's own, softer for what only clings or may run through a filter."""
    doubtful = met.clinging or met.meeting.where
    return softer(met.pairing.severity) if doubtful else met.pairing.severity


def _caution(prep: Preparation, severity: Severity, met: Met) -> Caution:
    pairing, meeting = met.pairing, met.meeting
    where = CLINGING if met.clinging else meeting.where
    return say(
        "mixing",
        meeting.step,
        meeting.place,
        code=f"mixing.{pairing.key}",
        severity=severity,
        unverified=pairing.obtained != "measured" and severity is not Severity.NOTE,
        a=met.a,
        b=met.b,
        where=where,
        why=pairing.message + gas_words(pairing, met.gas, prep),
        source=pairing.source,
        remedy=pairing.remedy,
    )


def gas_words(pairing: Pairing, amount: float, prep: Preparation) -> str:
    """How much gas at most, and what it would make of the room; '' when none is counted."""
    hazard = load_gas_hazards().get(pairing.product)
    if hazard is None or hazard.kind == "harmless":
        return ""
    if math.isnan(amount):
        return " How much cannot be told: no amount is known."
    if amount <= SMALL:
        return ""
    told = f" At most {amount:.2g} mol, {volume(amount * MOLAR_VOLUME)} of {hazard.name}"
    if hazard.toxic:
        room = room_of(prep)
        one = case(0, hazard.gas, amount, amount, room)
        limits = f"; limits: {one.limits}" if one.limits else ""
        return f"{told}: {one.room_ppm:.2g} ppm in {room_words(room)}{limits}."
    return f"{told}."
