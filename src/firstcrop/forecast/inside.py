"""What stood in the vessel at the start, the hottest and the end of a step, for a review."""

from __future__ import annotations

import math

import numpy as np

from firstcrop.forecast.contents import Contents, heat_capacity
from firstcrop.forecast.context import Ground
from firstcrop.forecast.kinetics import GAS_CONSTANT, Declared, rate_constant, reach
from firstcrop.forecast.log import Log, Snapshot
from firstcrop.forecast.neat import reactions_in
from firstcrop.forecast.records import Amounts, Inside, Pending

SMALL = 1e-7  # mol of reaction that still deserve a word
TRACE = 1e-9  # mol


def insides(ground: Ground, log: Log) -> tuple[Inside, ...]:
    """In order of time; times are those of the step's instants."""
    if not log.instants:
        return ()
    start, end = log.start_time, log.instants[-1].time
    hottest = max(log.instants, key=lambda i: i.temperature).time
    told = ((log.first, start), (log.peak, hottest), (log.last, end))
    return tuple(_inside(ground, snap, time) for snap, time in told if snap is not None)


def _inside(ground: Ground, snap: Snapshot, time: float) -> Inside:
    c, system = snap.contents, ground.chem.system
    liquor = np.zeros_like(c.wet) if c.state is None else c.wet - c.state.solids @ system.solid_nu
    dry = tuple((s.key, float(n)) for s, n in zip(ground.chem.dry, c.dry, strict=True) if n > TRACE)
    wet = tuple(
        (name, float(n))
        for name, n in zip(system.components, liquor, strict=True)
        if abs(n) > TRACE
    )
    return Inside(
        time=time,
        temperature=c.temperature,
        liquor=Amounts(wet),
        liquor_mass=float(liquor @ system.component_mass),
        dry=Amounts(dry),
        heat_capacity=heat_capacity(c, ground.chem) + snap.wall,
        pending=tuple(
            p
            for d in reactions_in(ground.chem, ground.reactions, c.wet, c.dry)
            if (p := _pending(ground, c, d)) is not None
        ),
    )


def _pending(ground: Ground, c: Contents, d: Declared) -> Pending | None:
    """Nothing for a reaction that is instant, over, or the equilibrium's own work."""
    if d.idle or not d.reaction.rate.order:
        return None
    amount = reach(d, c.wet, c.dry, c.state, ground.excess)
    if amount <= SMALL:
        return None
    constant = math.nan
    if d.reaction.rate.half_life is not None:
        constant = rate_constant(d, c.temperature, d.reaction.rate.half_life.value)
    activation = _activation(d, c.temperature)
    return Pending(d.label, amount, -d.heat, constant * amount, activation)


def _activation(d: Declared, temperature: float) -> float:
    """J/mol that gives the written change of the rate with temperature at this one."""
    rate = d.reaction.rate
    if rate.activation_energy is not None:
        return rate.activation_energy.value
    if rate.doubles_every is not None:
        return GAS_CONSTANT * temperature**2 * math.log(2.0) / rate.doubles_every.value
    return 0.0
