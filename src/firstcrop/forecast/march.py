"""Stepping a vessel through time: matter in, reactions, heat across the wall, equilibrium, gas.

Each substep changes amounts and enthalpy first and asks for one equilibrium after, so matter and
energy balance whatever the step length.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from firstcrop.forecast.contents import (
    FREE_WATER,
    Contents,
    Matter,
    at_enthalpy,
    at_temperature,
    gas_enthalpy,
    gas_waiting,
    heat_capacity,
    mass_of,
    solids_of,
    volume,
    without_gas,
)
from firstcrop.forecast.context import Context
from firstcrop.forecast.hull import Surroundings
from firstcrop.forecast.kinetics import Declared, Progress, advance, rate_constant, reach
from firstcrop.forecast.log import Brought, Instant, Log
from firstcrop.forecast.neat import is_neat, reactions_in
from firstcrop.forecast.stock import Stock
from firstcrop.forecast.world import Pot
from firstcrop.laws.holdup_hughmark_1967 import holdup
from firstcrop.liquor.system import Floats

GAS_CONSTANT = 8.31446  # J/(mol K)
COARSE = 2.5  # K a substep should not pass
MOST = 60  # substeps a stretch of time may take
FEWEST = 6
STILL = 1e-3  # K a substep must change for the heats' own error to be asked of
WATER_VAPOUR = 0  # row of H2O(g) in System.gases


@dataclass(frozen=True, slots=True)
class Drive:
    """The boundary condition of a stretch of time."""

    around: Surroundings
    hold: float | None = None  # K, a temperature kept by whoever watches
    stirred: bool = True
    keep_vapour: bool = False  # reflux


@dataclass(frozen=True, slots=True, eq=False)
class Flow:
    """A material coming in over a stretch of time: all of it, and how it is named."""

    label: str
    stock: Stock
    mass: float
    temperature: float
    matter: Matter


def flow(ctx: Context, label: str, stock: Stock, mass: float, temperature: float) -> Flow:
    """`mass` kg of a material at a temperature, as a flow."""
    matter = stock.matter(ctx.chem, mass, temperature)
    return Flow(label, stock, mass, temperature, matter)


def march(
    ctx: Context, pot: Pot, log: Log, duration: float, drive: Drive, inflow: Flow | None = None
) -> Pot:
    """The vessel after `duration` s, `inflow` coming in evenly meanwhile."""
    if duration <= 0.0:
        return pot
    entry = None if inflow is None else _enter(log, inflow)
    if inflow is None and drive.hold is not None and _quiet(ctx, pot, drive.hold):
        return substep(ctx, pot, log, duration, drive, None)
    left = duration
    step = duration / (20.0 if inflow is not None else 12.0)
    while left > 1e-9 * duration:
        step = min(step, left, _longest(ctx, pot, drive, duration))
        before = pot.contents.temperature
        share = None
        if inflow is not None and entry is not None:
            share = inflow.matter.scaled(step / duration)
            entry.mass += inflow.mass * step / duration
        pot = substep(ctx, pot, log, step, drive, share)
        left -= step
        moved = abs(pot.contents.temperature - before)
        step *= min(max(COARSE / (moved + 0.1), 0.4), 2.5)
        step = max(step, duration / MOST)
    return pot


def _quiet(ctx: Context, pot: Pot, hold: float) -> bool:
    """Whether nothing happens while the vessel is held where it is."""
    still = abs(pot.contents.temperature - hold) < 1e-9
    waiting = float(gas_waiting(pot.contents, ctx.chem).sum())
    return still and waiting < 1e-9 and not still_reacting(ctx, pot)


def tip_in(ctx: Context, pot: Pot, log: Log, inflow: Flow) -> Pot:
    """The vessel after a material is tipped in at once, before any heat is lost."""
    entry = _enter(log, inflow)
    entry.mass = inflow.mass
    still = Drive(Surroundings(pot.contents.temperature, 0.0))
    return substep(ctx, pot, log, 0.0, still, inflow.matter)


def _enter(log: Log, inflow: Flow) -> Brought:
    entry = Brought(inflow.label, inflow.stock, 0.0, inflow.temperature)
    log.brought.append(entry)
    return entry


def _longest(ctx: Context, pot: Pot, drive: Drive, duration: float) -> float:
    """The longest substep that follows cooling and declared reactions."""
    longest = duration / FEWEST
    if drive.hold is None:
        conductance = conductance_of(ctx, pot, drive)
        if conductance > 0.0:
            capacity = heat_capacity(pot.contents, ctx.chem) + pot.wall.heat_capacity
            longest = min(longest, 0.5 * capacity / conductance)
    for declared, progress in zip(_reactions(ctx, pot), pot.progress, strict=True):
        rate = declared.reaction.rate
        if declared.idle or rate.order == 0 or rate.half_life is None:
            continue
        possible = _possible(ctx, pot, declared)
        if possible > 0.02 * max(progress.start, progress.done + possible):
            constant = rate_constant(declared, pot.contents.temperature, _half_life(ctx, declared))
            longest = min(longest, 0.2 / constant)
    return max(longest, duration / MOST)


def _reactions(ctx: Context, pot: Pot) -> tuple[Declared, ...]:
    c = pot.contents
    return reactions_in(ctx.chem, ctx.ground.reactions, c.wet, c.dry)


def _possible(ctx: Context, pot: Pot, declared: Declared) -> float:
    c = pot.contents
    return reach(declared, c.wet, c.dry, c.state, ctx.ground.excess)


def substep(
    ctx: Context,
    pot: Pot,
    log: Log,
    dt: float,
    drive: Drive,
    inflow: Matter | None,
    held: Contents | None = None,
) -> Pot:
    """One substep: everything that happens in `dt` s, then one equilibrium; `held` is that of
    the contents at the temperature kept, good when nothing comes in or reacts."""
    c = pot.contents
    wet, dry, heat = c.wet, c.dry, c.enthalpy
    if inflow is not None:
        wet, dry, heat = wet + inflow.wet, dry + inflow.dry, heat + inflow.enthalpy
    wet, dry, progress = _react(ctx, pot, log, wet, dry, dt)
    if drive.hold is not None:
        new = held
        if new is None or wet is not c.wet or dry is not c.dry:
            new = at_temperature(ctx.chem, wet, dry, drive.hold, ctx.pressure, c.state)
        wall = pot.wall.heat_capacity * (new.temperature - c.temperature)
        log.heat += new.enthalpy - heat + wall
    else:
        given = _exchanged(ctx, pot, drive, dt)
        log.heat += given
        new = at_enthalpy(
            ctx.chem, wet, dry, heat + given, pot.wall, c.temperature, ctx.pressure, c.state
        )
        if wet is not c.wet or dry is not c.dry:
            doubt = _heat_in_doubt(ctx, pot, inflow, new, given)
            log.heat += doubt
            heat += given + doubt
            if doubt:
                new = at_enthalpy(
                    ctx.chem, wet, dry, heat, pot.wall, c.temperature, ctx.pressure, new.state
                )
    check_state(ctx, log, new)
    pot = replace(pot, contents=new, progress=progress)
    pot = _vent(ctx, pot, log, dt, drive)
    return pot


def _heat_in_doubt(
    ctx: Context, pot: Pot, inflow: Matter | None, new: Contents, given: float
) -> float:
    """J by which the heat of dissolving, mixing or reacting may differ from what the tables give:
    none but in a run that moves this input for the bands. That heat is what warmed the vessel
    beyond what crossed its wall and what warm or cold matter brought."""
    c = pot.contents
    if c.state is None or new.state is None or abs(new.temperature - c.temperature) < STILL:
        return 0.0
    part = ctx.knobs.practice("heat_data")
    if not part:
        return 0.0
    before, after = heat_capacity(c, ctx.chem), heat_capacity(new, ctx.chem)
    heat = (after + pot.wall.heat_capacity) * (new.temperature - c.temperature) - given
    if inflow is not None and math.isfinite(inflow.temperature):
        heat -= (after - before) * (inflow.temperature - c.temperature)
    return part * heat


def check_state(ctx: Context, log: Log, c: Contents) -> None:
    """Say so when the equilibrium was not found."""
    if c.state is None or c.state.outcome.ok:
        return
    place = next((s.place for s in ctx.ground.prep.steps if s.number == log.step), None)
    if place is not None:
        ctx.complain("no equilibrium", f"step {log.step}: {c.state.outcome.value}", place)


def _react(
    ctx: Context, pot: Pot, log: Log, wet: Floats, dry: Floats, dt: float
) -> tuple[Floats, Floats, tuple[Progress, ...]]:
    neat = bool(ctx.ground.reactions) and is_neat(ctx.chem, wet, dry)
    if not ctx.ground.reactions or (wet[0] <= FREE_WATER and not neat):
        return wet, dry, pot.progress
    progress = list(pot.progress)
    state = pot.contents.state
    for i, declared in enumerate(reactions_in(ctx.chem, ctx.ground.reactions, wet, dry)):
        rate = declared.reaction.rate
        if declared.idle or (dt == 0.0 and rate.order != 0):
            continue
        possible = reach(declared, wet, dry, state, ctx.ground.excess)
        constant = 0.0
        if rate.order != 0:
            constant = rate_constant(declared, pot.contents.temperature, _half_life(ctx, declared))
        amount, progress[i] = advance(
            declared, progress[i], possible, constant, dt, _extent(ctx, i)
        )
        if amount > 0.0:
            wet = wet + amount * declared.change
            dry = np.maximum(dry + amount * declared.dry_change, 0.0)
            log.reacted[i] += amount
    return wet, dry, tuple(progress)


def _half_life(ctx: Context, declared: Declared) -> float:
    quantity = declared.reaction.rate.half_life
    if quantity is None:
        return 1e-3
    label = f"half-life of {declared.label}"
    value = ctx.knobs.band(f"half-life:{label}", label, quantity.value, quantity.band, "s")
    return max(value, 1e-3)


def _extent(ctx: Context, index: int) -> float:
    declared = ctx.ground.reactions[index]
    extent = declared.reaction.rate.extent
    if extent is None:
        return 1.0
    label = f"extent of {declared.label}"
    value = ctx.knobs.band(f"extent:{index}", label, extent.value, extent.band)
    return min(max(value, 0.0), 1.0)


def conductance_of(ctx: Context, pot: Pot, drive: Drive) -> float:
    """W/K between the contents and what surrounds them."""
    if drive.around.coefficient <= 0.0:
        return 0.0
    passed = drive.around.coefficient * pot.hull.wetted(volume(pot.contents, ctx.chem))
    return passed * ctx.knobs.practice("insulated_part") if pot.hull.insulated else passed


def _exchanged(ctx: Context, pot: Pot, drive: Drive, dt: float) -> float:
    """J that cross the wall in `dt`, the exact relaxation toward the surroundings."""
    conductance = conductance_of(ctx, pot, drive)
    if dt <= 0.0:
        return 0.0
    if conductance <= 0.0:
        return drive.around.power * dt
    capacity = heat_capacity(pot.contents, ctx.chem) + pot.wall.heat_capacity
    goal = drive.around.temperature + drive.around.power / conductance
    gap = goal - pot.contents.temperature
    if capacity <= 0.0:
        return 0.0
    return capacity * gap * -math.expm1(-conductance * dt / capacity)


def _vent(ctx: Context, pot: Pot, log: Log, dt: float, drive: Drive) -> Pot:
    """Let the waiting gas go, by its degassing time, and write the instant down."""
    chem = ctx.chem
    gas = gas_waiting(pot.contents, chem)
    waiting = float(gas.sum())
    rate = 0.0
    if waiting > 1e-12:
        lag = ctx.knobs.practice("degassing_stirred" if drive.stirred else "degassing_still")
        leaving = gas.copy()
        if drive.keep_vapour:
            leaving[WATER_VAPOUR] = 0.0
        boiling = gas[WATER_VAPOUR] > 0.5 * waiting
        rate = float(leaving.sum()) / lag
        part = 1.0 if boiling else -math.expm1(-dt / lag)
        log.boiled = log.boiled or boiling
        leaving *= part
        if dt > 0.0:
            rate = max(float(leaving.sum()) / dt, rate * (1.0 - part))
        carried = gas_enthalpy(chem, leaving, pot.contents.temperature)
        log.gas += leaving
        log.gas_heat += carried
        pot = replace(pot, contents=without_gas(pot.contents, chem, leaving))
    write_instant(ctx, pot, log, dt, rate)
    return pot


def write_instant(ctx: Context, pot: Pot, log: Log, dt: float, gas_mol: float = 0.0) -> None:
    """Append the present state of a vessel to the log; `gas_mol` is mol/s."""
    c, chem = pot.contents, ctx.chem
    time = (log.instants[-1].time if log.instants else log.start_time) + dt
    size = volume(c, chem)
    rate = gas_mol * GAS_CONSTANT * ctx.room / ctx.pressure
    here = gas_mol * GAS_CONSTANT * c.temperature / ctx.pressure
    held = holdup(here / pot.hull.surface) if here > 0.0 else 0.0
    ph = float("nan") if c.state is None else c.state.ph
    log.instants.append(
        Instant(
            time,
            pot.name,
            c.temperature,
            size,
            size / (1.0 - held),
            ph,
            solids_of(c, chem),
            rate,
            float(log.gas.sum()),
            mass_of(chem, c.wet, c.dry),
            float(log.gas[WATER_VAPOUR]),
        )
    )
    snap = None
    if log.first is None:
        log.first = snap = log.snapshot(c, pot.wall.heat_capacity)
    if log.peak is None or c.temperature > log.peak.contents.temperature:
        log.peak = snap or log.snapshot(c, pot.wall.heat_capacity)


def still_reacting(ctx: Context, pot: Pot) -> bool:
    """Whether a declared reaction that takes time has begun and is not over."""
    for declared, progress in zip(_reactions(ctx, pot), pot.progress, strict=True):
        if declared.idle or not declared.reaction.rate.order:
            continue
        possible = _possible(ctx, pot, declared)
        if possible > 0.01 * (progress.done + possible) and possible > 1e-7:
            return True
    return False


def settle_gas(ctx: Context, pot: Pot, log: Log, drive: Drive) -> Pot:
    """Wait until a fizz is over: five degassing times, when gas is waiting and nothing makes more
    of it meanwhile."""
    if float(gas_waiting(pot.contents, ctx.chem).sum()) < 1e-5 or still_reacting(ctx, pot):
        return pot
    lag = ctx.knobs.practice("degassing_stirred" if drive.stirred else "degassing_still")
    return march(ctx, pot, log, 5.0 * lag, drive)
