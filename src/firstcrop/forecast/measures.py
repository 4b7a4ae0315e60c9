"""The numbers of a run as plain floats by key: what bands are made of."""

from __future__ import annotations

import math

from firstcrop.forecast.context import Ground
from firstcrop.forecast.crops import Harvest, harvest
from firstcrop.forecast.fates import fates
from firstcrop.forecast.log import Instant, Log
from firstcrop.forecast.simulate import Run
from firstcrop.forecast.theory import theory
from firstcrop.laws.vapour_pressure_wagner_1993 import vapour_pressure

GAS_CONSTANT = 8.31446  # J/(mol K)
Key = tuple[str, int | str]
WATER_VAPOUR = 0


def own_instants(log: Log) -> list[Instant]:
    """The instants of the vessel a step ended on."""
    return [i for i in log.instants if i.pot == log.pot] or log.instants


def harvests(ground: Ground, run: Run) -> tuple[Harvest, ...]:
    """Every crop of a run in order."""
    cakes = sorted(run.findings.cakes.values(), key=lambda c: c.number)
    return tuple(harvest(ground, c, run.loss) for c in cakes)


def dry_gas(log: Log) -> float:
    """mol given off in a step, water vapour not counted."""
    return float(log.gas.sum() - log.gas[WATER_VAPOUR])


def measures(ground: Ground, run: Run) -> dict[Key, float]:
    """All numbers of a run."""
    found: dict[Key, float] = {}
    for log in run.logs:
        _step_measures(run, log, found)
    for index, answer in enumerate(run.findings.answers):
        found["answer", index] = answer.value
    best = theory(ground, run.world.books)
    if best is not None:
        found["theory", ""] = best.mass
    for where, kg in fates(ground, run.world, best, run.loss).items():
        found["fate", where] = kg
    for crop in harvests(ground, run):
        name = crop.cake.name
        found["wet", name] = crop.wet
        found["dry", name] = crop.dry
        found["purity", name] = crop.purity
        found["left", name] = crop.left
        share = target_share(ground, crop)
        found["yield", name] = crop.dry * share / best.mass if best and share else math.nan
    return found


def moist_gas(amount: float, room: float, pressure: float) -> float:
    """m3 of so many mol of gas at room temperature, saturated with water as it leaves a liquor."""
    return amount * GAS_CONSTANT * room / (pressure - float(vapour_pressure(room)))


def target_share(ground: Ground, crop: Harvest) -> float:
    """Which part of a dry crop is the target, kg/kg; 0 without a target."""
    if ground.target is None:
        return 0.0
    row = ground.target_solid
    name = ground.chem.system.solids[row] if row >= 0 else ground.target.key
    return dict(crop.composition).get(name, 0.0) / crop.dry if crop.dry > 0.0 else 0.0


def _step_measures(run: Run, log: Log, found: dict[Key, float]) -> None:
    instants = own_instants(log)
    if not instants:
        return
    n = log.step
    temperatures = [i.temperature for i in instants]
    found["start", n] = temperatures[0]
    found["peak", n] = max(temperatures)
    found["lowest", n] = min(temperatures)
    found["end", n] = temperatures[-1]
    found["volume", n] = max(i.foam for i in instants)
    found["end volume", n] = instants[-1].volume
    found["mass", n] = instants[-1].mass
    found["ph", n] = instants[-1].ph
    found["gas", n] = moist_gas(dry_gas(log), run.room, run.pressure)
