"""What each step's heat could do when cooling or stirring fails: cases, after Gygax and Stoessel.

At the start, the hottest and the end of every step, all that declared reactions have still to
give is let loose with no heat lost (cooling failure); and all the heat of an addition at once
(stirring stopped, then started again).
"""

from __future__ import annotations

import math

from firstcrop.cautions.records import HeatCase
from firstcrop.forecast.records import Forecast, Inside, Limit, Pending, StepForecast
from firstcrop.laws.runaway_semenov_1928 import GAS_CONSTANT, time_to_maximum_rate
from firstcrop.sheet.records import Verb

BOILING = 373.15  # K, water at 1 atm: what limits an open vessel
SURROUNDINGS = "surroundings"
ADDITIONS = (Verb.ADD, Verb.PUT, Verb.DISSOLVE, Verb.DILUTE, Verb.COMBINE, Verb.TITRATE)
SLICES = 24  # of the temperature rise, for the time it takes
SMALL = 1.0  # K of rise that are not worth a case
# adiabatic rise, K, from which the severity is medium and high (Stoessel 1993, from memory)
MEDIUM, HIGH = 50.0, 200.0


def heat_cases(forecast: Forecast) -> tuple[HeatCase, ...]:
    """The worst case of every step with one, in step order."""
    verbs = {s.number: {c.verb for c in s.clauses} for s in forecast.preparation.steps}
    found = []
    for step in forecast.steps:
        if not step.inside:
            continue
        adding = bool(verbs.get(step.number, set()) & set(ADDITIONS))
        at_once = _addition_rise(step) if adding else 0.0
        worst = max(step.inside, key=lambda inside: inside.temperature + waiting_rise(inside))
        unknown = any(math.isnan(p.heat) for p in worst.pending)
        if waiting_rise(worst) > SMALL or at_once > SMALL or unknown:
            found.append(_case(step, worst, at_once, unknown))
    return tuple(found)


def waiting_rise(inside: Inside) -> float:
    """K by which what is waiting would warm the vessel with no heat lost."""
    if not inside.pending or inside.heat_capacity <= 0.0:
        return 0.0
    given = sum(p.amount * p.heat for p in inside.pending if p.heat > 0.0)
    return given / inside.heat_capacity


def _case(step: StepForecast, inside: Inside, at_once: float, unknown: bool) -> HeatCase:
    known = [p for p in inside.pending if p.heat > 0.0]
    rise = waiting_rise(inside)
    aim = min(thermal_limit(step.limits), BOILING)
    peak = inside.temperature + rise
    return HeatCase(
        step=step.number,
        temperature=inside.temperature,
        waiting=rise * inside.heat_capacity,
        waiting_amount=sum(p.amount for p in known),
        rise=rise,
        failure_peak=peak,
        limit=aim,
        time_to_limit=time_to(aim, inside, known) if peak > aim else math.nan,
        time_to_maximum=_maximum(inside, known),
        stirring_rise=at_once,
        stirring_peak=step.start.temperature + at_once + rise,
        severity=severity_of(max(rise, at_once)),
        criticality=criticality(inside.temperature, peak, BOILING, None),
        unknown=unknown,
    )


def thermal_limit(limits: tuple[Limit, ...]) -> float:
    """K, the lowest "keeping below" of a step; infinite without one."""
    return min((x.value for x in limits if "below" in x.text and "°" in x.text), default=math.inf)


def _addition_rise(step: StepForecast) -> float:
    """K by which all that the step itself sets free would warm the vessel at once."""
    if step.heat is None or not step.inside or step.inside[-1].heat_capacity <= 0.0:
        return 0.0
    given = sum(t.value for t in step.heat.terms if SURROUNDINGS not in t.label)
    return max(given / step.inside[-1].heat_capacity, 0.0)


def severity_of(rise: float) -> str:
    """low, medium or high by the adiabatic rise, K."""
    return "high" if rise > HIGH else "medium" if rise >= MEDIUM else "low"


def criticality(process: float, peak: float, technical: float, decomposition: float | None) -> str:
    """Stoessel's class from the process temperature, the peak of a failure, the boiling point and
    the temperature from which the mass decomposes within a day (all K); without the last, what
    can be said without it. Stoessel, Chem. Eng. Prog. 89 (1993) 68, from memory."""
    if peak <= process:
        return "no reaction is waiting"
    if decomposition is None:
        base = "1 or 2" if peak <= technical else "3 or 4"
        return f"class {base}, unless something in it decomposes: decomposition data not known"
    if peak <= technical:
        low = "1" if technical < decomposition else "2"
        return f"class {low if peak < decomposition else '5'}"
    if peak < decomposition:
        return "class 3"
    return "class 4" if technical < decomposition else "class 5"


def time_to(limit: float, inside: Inside, pending: list[Pending]) -> float:
    """s until a limit (K) is reached when all cooling stops, each reaction slowing down as it is
    used up and speeding up as it warms; NaN when a rate is not known."""
    if limit <= inside.temperature:
        return 0.0
    hot = [p for p in pending if p.heat > 0.0 and p.amount > 0.0]
    if not hot or any(math.isnan(p.rate) for p in hot):
        return math.nan
    start, capacity = inside.temperature, inside.heat_capacity
    slice_ = (limit - start) / SLICES
    left = {id(p): p.amount for p in hot}
    time = 0.0
    for n in range(SLICES):
        warm = start + (n + 0.5) * slice_
        rates = {id(p): _rate(p, start, warm) * left[id(p)] / p.amount for p in hot}
        power = sum(rates[id(p)] * p.heat for p in hot)
        if power <= 0.0:
            return math.nan
        step = capacity * slice_ / power
        for p in hot:
            left[id(p)] = max(left[id(p)] - rates[id(p)] * step, 0.0)
        time += step
    return time


def _rate(p: Pending, start: float, now: float) -> float:
    return p.rate * math.exp(-p.activation / GAS_CONSTANT * (1.0 / now - 1.0 / start))


def _maximum(inside: Inside, pending: list[Pending]) -> float:
    """s to the maximum rate by Semenov's zero-order law, of the hottest reaction; NaN unknown."""
    hot = [p for p in pending if p.heat > 0.0 and p.rate > 0.0 and p.activation > 0.0]
    if not hot:
        return math.nan
    lead = max(hot, key=lambda p: p.rate * p.heat)
    return time_to_maximum_rate(
        lead.rate * lead.heat, inside.heat_capacity, inside.temperature, lead.activation
    )
