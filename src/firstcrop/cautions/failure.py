"""Cooling that fails, stirring that stops: where that would carry the temperature."""

from __future__ import annotations

import math

from firstcrop.cautions.heat_cases import BOILING, heat_cases
from firstcrop.cautions.records import HeatCase
from firstcrop.cautions.say import celsius, say
from firstcrop.cautions.scene import Scene
from firstcrop.forecast.records import Caution, StepForecast
from firstcrop.problems import Severity
from firstcrop.quantity.records import Quantity
from firstcrop.sheet.records import Preparation

ENOUGH = 5.0  # K that a failure adds before it deserves a word
MANY = 50  # portions; more than that is no advice


def failure(scene: Scene) -> tuple[Caution, ...]:
    """At most one caution of each kind a step."""
    steps = {step.number: step for step in scene.forecast.steps}
    found = []
    for case in heat_cases(scene.forecast):
        step = steps[case.step]
        if case.rise >= ENOUGH and case.failure_peak > case.limit:
            found.append(_cooling(step, case))
        if case.stirring_rise >= ENOUGH and case.stirring_peak > max(
            case.limit, step.peak_temperature.value
        ):
            found.append(_stirring(scene.forecast.preparation, step, case))
    return tuple(found)


def _cooling(step: StepForecast, case: HeatCase) -> Caution:
    share = max((case.limit - case.temperature) / case.rise, 0.0)
    if share > 0.0:
        remedy = (
            f"Add so slowly that at most {share * 100:.0f} % of what is waiting now can wait, "
            f"or in {_portions(share)} portions, each reacted out before the next."
        )
    else:
        remedy = "Work colder or more dilute, and let each portion react out before the next."
    boils = case.failure_peak >= BOILING
    return say(
        "cooling-failure",
        step.number,
        step.place,
        severity=_severity(case),
        what="the liquor boils over" if boils else f"it passes {celsius(case.limit)}",
        waiting=f"{case.waiting / 1e3:.3g} kJ ({case.waiting_amount:.2g} mol of reaction)",
        start=celsius(case.temperature),
        peak=celsius(case.failure_peak),
        time=_time(case),
        criticality=case.criticality,
        remedy=remedy,
    )


def _severity(case: HeatCase) -> Severity:
    """Grave when the rise is high (Stoessel) and it boils; a note when only the sheet's own limit
    is passed."""
    if case.failure_peak < BOILING:
        return Severity.NOTE
    return Severity.ERROR if case.severity == "high" else Severity.WARNING


def _time(case: HeatCase) -> str:
    seconds = case.time_to_limit
    if math.isnan(seconds):
        return "; how fast is not known"
    told = f"{seconds / 60.0:.0f} min" if seconds >= 90.0 else f"{seconds:.0f} s"
    return f", {celsius(case.limit)} after {told}"


def _stirring(prep: Preparation, step: StepForecast, case: HeatCase) -> Caution:
    room = case.limit - step.start.temperature
    share = room / case.stirring_rise if case.stirring_rise > 0.0 else 0.0
    return say(
        "stirring-failure",
        step.number,
        step.place,
        severity=Severity.WARNING if case.stirring_peak >= BOILING else Severity.NOTE,
        rise=f"{case.stirring_rise:.0f}",
        start=celsius(step.start.temperature),
        peak=celsius(case.stirring_peak),
        limit=celsius(case.limit),
        remedy=_portion_advice(prep, step, share) if share > 0.0 else "Start colder.",
    )


def _portion_advice(prep: Preparation, step: StepForecast, share: float) -> str:
    count = _portions(share)
    if count > MANY:
        return "Work more dilute or start colder: no portion is small enough."
    amounts = [
        c.amount for s in prep.steps if s.number == step.number for c in s.clauses
        if isinstance(c.amount, Quantity) and c.what
    ]  # fmt: skip
    size = f" of {_size(amounts[0], count)}" if len(amounts) == 1 else ""
    return (
        f"Add it in at least {count} portions{size}, cooled back before the next, and do not "
        "start a stopped stirrer again: stop adding, cool, then stir by hand."
    )


def _portions(share: float) -> int:
    return max(math.ceil(1.0 / share), 2)


def _size(amount: Quantity, count: int) -> str:
    """One portion, in the unit the writer used where its SI size tells."""
    value = amount.value / count
    match amount.kind.name:
        case "MASS":
            return f"{value * 1e3:.2g} g"
        case "VOLUME":
            return f"{value * 1e6:.2g} mL"
        case _:
            return "equal size"
