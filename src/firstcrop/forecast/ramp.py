"""Bringing a vessel to a temperature, and boiling: the time comes from the heat it takes."""

from __future__ import annotations

import math
from dataclasses import replace

from firstcrop.forecast.contents import (
    FREE_WATER,
    at_enthalpy,
    at_temperature,
    gas_enthalpy,
    volume,
    without_gas,
)
from firstcrop.forecast.context import Context
from firstcrop.forecast.log import Log
from firstcrop.forecast.march import (
    WATER_VAPOUR,
    Drive,
    check_state,
    conductance_of,
    still_reacting,
    substep,
    write_instant,
)
from firstcrop.forecast.neat import boiling_point as neat_boiling_point
from firstcrop.forecast.neat import is_neat
from firstcrop.forecast.world import Pot
from firstcrop.laws.vapour_pressure_wagner_1993 import vapour_pressure
from firstcrop.problems import Place

NODE = 5.0  # K between nodes of a ramp
WIDE_NODE = 10.0  # the same where no declared reaction goes on
HOT_WATER = 958.0  # kg/m3 of water that leaves at the boil, about
SLICE = 0.08  # part of the water one slice of boiling may take
MOST_SLICES = 120
NEAR = 0.5  # K: as near to a bath as one waits for
COLDEST_BOIL = 320.0  # K
HOTTEST_BOIL = 480.0


def boiling_point(ctx: Context, pot: Pot) -> float:
    """K at which vapour stands against the air pressure; inf where there is no liquor."""
    c = pot.contents
    if is_neat(ctx.chem, c.wet, c.dry):
        return neat_boiling_point(ctx.chem, c.dry, ctx.pressure)
    if c.wet[0] <= FREE_WATER:
        return math.inf
    low, high = COLDEST_BOIL, 373.15 + 1.0
    while high < HOTTEST_BOIL and not _boils(ctx, pot, high):
        low, high = high, high + 6.0
    if high >= HOTTEST_BOIL:
        return math.inf
    low = max(low, high - 60.0)
    for _ in range(14):
        middle = 0.5 * (low + high)
        if _boils(ctx, pot, middle):
            high = middle
        else:
            low = middle
    return 0.5 * (low + high)


def _boils(ctx: Context, pot: Pot, temperature: float) -> bool:
    c = pot.contents
    trial = at_temperature(ctx.chem, c.wet, c.dry, temperature, ctx.pressure, c.state)
    if trial.state is None:
        return False
    if not trial.state.outcome.ok:
        return bool(vapour_pressure(temperature) > ctx.pressure)
    return bool(trial.state.gas[WATER_VAPOUR] > 0.02 * c.wet[0])


def ramp(
    ctx: Context,
    pot: Pot,
    log: Log,
    target: float,
    drive: Drive,
    place: Place,
    seconds: float | None = None,
    boils_at: float | None = None,
) -> Pot:
    """The vessel brought to `target` K, in `seconds` or in the time the heat flow takes;
    `boils_at` K where that is known already."""
    start = pot.contents.temperature
    if target > start and target > 345.0:
        boil = boiling_point(ctx, pot) if boils_at is None else boils_at
        if target > boil + 0.3:
            ctx.complain(
                "boils first",
                f"it boils at {boil - 273.15:.1f} °C, so {target - 273.15:.4g} °C is not reached",
                place,
                "heat to a lower temperature, or write `reflux` or `boil down`",
            )
        target = min(target, boil - 0.05)
    drive = _cold_enough(ctx, drive, target, place)
    target = _attainable(ctx, pot, target, drive, place, seconds)
    span = target - start
    if abs(span) < 1e-6:
        return pot
    node = NODE if still_reacting(ctx, pot) else WIDE_NODE
    nodes = max(3, min(24, math.ceil(abs(span) / node)))
    for i in range(1, nodes + 1):
        here = start + span * i / nodes
        pot = _node(ctx, pot, log, here, drive, None if seconds is None else seconds / nodes)
    return pot


def _cold_enough(ctx: Context, drive: Drive, target: float, place: Place) -> Drive:
    """Cold water of no stated temperature is as cold as what it is asked to do, down to ice."""
    around = drive.around
    if around.name != "cold water" or around.stated or not 273.15 < target < around.temperature:
        return drive
    ctx.note(
        "cold water taken",
        f"cold water is taken to be at {target - 274.15:.3g} °C, cold enough for "
        f"{target - 273.15:.3g} °C",
        place,
    )
    return replace(drive, around=replace(around, temperature=target - 1.0))


def _attainable(
    ctx: Context, pot: Pot, target: float, drive: Drive, place: Place, seconds: float | None
) -> float:
    """`target`, or the nearest temperature the surroundings allow, with a Problem."""
    around = drive.around
    start = pot.contents.temperature
    if around.power > 0.0:
        return target
    wall = around.temperature
    beyond = (target < wall - 1e-6 and target < start) or (target > wall + 1e-6 and target > start)
    if not beyond:
        return target
    if abs(target - wall) <= 1.5 or (seconds is not None and around.name == "room air"):
        return target
    ctx.complain(
        "temperature out of reach",
        f"{around.name} is at {wall - 273.15:.4g} °C, so {target - 273.15:.4g} °C "
        "cannot be reached in it",
        place,
        "name a colder or warmer bath",
    )
    return wall + math.copysign(NEAR, start - wall)


def _node(
    ctx: Context, pot: Pot, log: Log, temperature: float, drive: Drive, dt: float | None
) -> Pot:
    trial = None
    if dt is None:
        c = pot.contents
        trial = at_temperature(ctx.chem, c.wet, c.dry, temperature, ctx.pressure, c.state)
        wall = pot.wall.heat_capacity * (temperature - c.temperature)
        dt = _time_for(ctx, pot, trial.enthalpy - c.enthalpy + wall, temperature, drive)
    return substep(ctx, pot, log, dt, replace(drive, hold=temperature), None, trial)


def _time_for(ctx: Context, pot: Pot, heat: float, goal: float, drive: Drive) -> float:
    """s to move `heat` J while going to `goal` K: relaxation toward the surroundings."""
    here = pot.contents.temperature
    around = drive.around
    conductance = conductance_of(ctx, pot, drive)
    if conductance <= 0.0:
        return abs(heat) / around.power if around.power > 0.0 else 0.0
    end = around.temperature + around.power / conductance
    capacity = heat / (goal - here)
    far, near = end - here, end - goal
    if abs(near) < NEAR or far * near <= 0.0:
        near = math.copysign(NEAR, far)
    if abs(far) <= abs(near):
        far = near * (1.0 + abs(goal - here))
    return max(capacity / conductance * math.log(far / near), 0.0)


def boil(
    ctx: Context,
    pot: Pot,
    log: Log,
    drive: Drive,
    place: Place,
    until_volume: float | None = None,
    until_mass: float | None = None,
    seconds: float | None = None,
) -> Pot:
    """Boil vapour off until a volume (m3), a mass (kg) or a time (s) is reached."""
    boil_at = boiling_point(ctx, pot)
    if not math.isfinite(boil_at):
        ctx.complain("nothing to boil", "there is no liquor to boil", place)
        return pot
    if boil_at > pot.contents.temperature:
        pot = ramp(ctx, pot, log, boil_at - 0.05, drive, place, boils_at=boil_at)
    power = _net_power(ctx, pot, drive)
    if power <= 0.0:
        ctx.complain(
            "too weak to boil",
            f"{drive.around.name} does not bring it to the boil",
            place,
            "name a hotplate or a burner",
        )
        return pot
    log.boiled = True
    return _boil_off(ctx, pot, log, power, until_volume, until_mass, seconds, place)


def _net_power(ctx: Context, pot: Pot, drive: Drive) -> float:
    around = drive.around
    gap = around.temperature - pot.contents.temperature
    return around.power + conductance_of(ctx, pot, drive) * gap


def _boil_off(
    ctx: Context,
    pot: Pot,
    log: Log,
    power: float,
    until_volume: float | None,
    until_mass: float | None,
    seconds: float | None,
    place: Place,
) -> Pot:
    latent = 2.26e6  # J/kg, only sizes the first slice
    left = seconds
    for turn in range(MOST_SLICES):
        excess = _still_to_go(ctx, pot, until_volume, until_mass)
        if excess is not None and excess <= _tolerance(until_volume, until_mass):
            break
        if excess is None and (left is None or left <= 1e-9):
            break
        heat = _slice(ctx, pot, excess, latent, None if left is None else left * power)
        before = pot
        pot, gone, vapour = _boil_slice(ctx, pot, log, heat, power)
        if left is not None:
            left -= heat / power
        if vapour > 1e-9:
            latent = heat / vapour
        state = pot.contents.state
        if state is None or not state.ok:
            return before
        if gone <= 0.0 and turn > MOST_SLICES // 2:
            break
    return pot


def _still_to_go(
    ctx: Context, pot: Pot, until_volume: float | None, until_mass: float | None
) -> float | None:
    """kg of water still to boil off, about."""
    if until_volume is not None:
        return (volume(pot.contents, ctx.chem) - until_volume) * HOT_WATER
    if until_mass is not None:
        c = pot.contents
        mass = float(c.wet @ ctx.chem.system.component_mass + c.dry @ ctx.chem.dry_mass)
        return mass - until_mass
    return None


def _tolerance(until_volume: float | None, until_mass: float | None) -> float:
    return 1e-4 * ((until_volume or 0.0) * 1000.0 + (until_mass or 0.0))


def _slice(
    ctx: Context, pot: Pot, excess: float | None, latent: float, heat_left: float | None
) -> float:
    """J of the next slice: at most a part of the water, so that the boiling point can follow."""
    water = float(pot.contents.wet[0] * ctx.chem.system.component_mass[0])
    most = latent * SLICE * max(water, 1e-6)
    if excess is None:
        return most if heat_left is None else min(heat_left, most)
    if excess * latent < 0.6 * most:
        return excess * latent
    return min(0.5 * excess * latent, most)


def _boil_slice(
    ctx: Context, pot: Pot, log: Log, heat: float, power: float
) -> tuple[Pot, float, float]:
    """Give `heat` J and let all vapour go: (vessel, mol gone, kg gone)."""
    c, chem = pot.contents, ctx.chem
    new = at_enthalpy(
        chem, c.wet, c.dry, c.enthalpy + heat, pot.wall, c.temperature, ctx.pressure, c.state
    )
    check_state(ctx, log, new)
    if new.state is None or not new.state.ok:
        return replace(pot, contents=new), 0.0, 0.0
    log.heat += heat
    gas = new.state.gas.copy()
    carried = gas_enthalpy(chem, gas, new.temperature)
    log.gas += gas
    log.gas_heat += carried
    pot = replace(pot, contents=without_gas(new, chem, gas))
    mass = float(gas @ (chem.system.gas_nu @ chem.system.component_mass))
    log.evaporated += mass
    write_instant(ctx, pot, log, heat / power, float(gas.sum()) * power / heat)
    return pot, float(gas.sum()), mass
