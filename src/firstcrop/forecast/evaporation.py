"""Water lost from an uncovered vessel below the boil."""

from __future__ import annotations

import math
from dataclasses import replace

from firstcrop.bank.practice import load_practice
from firstcrop.forecast.chemistry import T0
from firstcrop.forecast.contents import at_enthalpy, at_temperature
from firstcrop.forecast.context import Context
from firstcrop.forecast.log import Log
from firstcrop.forecast.march import WATER_VAPOUR, Drive, march, write_instant
from firstcrop.forecast.world import Pot
from firstcrop.laws.evaporation_carrier_1918 import evaporation_flux
from firstcrop.laws.vapour_pressure_wagner_1993 import vapour_pressure

SLICES = 12
MOST = 0.2  # of the water that one slice may take


def march_uncovered(ctx: Context, pot: Pot, log: Log, seconds: float, drive: Drive) -> Pot:
    """The vessel after `seconds`, water going off its surface meanwhile."""
    for _ in range(SLICES):
        pot = march(ctx, pot, log, seconds / SLICES, drive)
        pot = _slice(ctx, pot, log, seconds / SLICES, drive)
    return pot


def about(ctx: Context, pot: Pot) -> float:
    """kg/s that would leave the surface, by the usual values: nothing is asked for."""
    usual = load_practice()
    return _rate(ctx, pot, usual["humidity"].value, usual["evaporation_quiet"].value)


def _rate(ctx: Context, pot: Pot, humidity: float, quiet: float) -> float:
    """kg/s that leaves the surface."""
    state, t = pot.contents.state, pot.contents.temperature
    if state is None or not state.ok:
        return 0.0
    over = math.exp(state.ln_a_water) * float(vapour_pressure(t))
    flux = evaporation_flux(t, (over, humidity * float(vapour_pressure(ctx.room))))
    return flux * pot.hull.surface * quiet


def _slice(ctx: Context, pot: Pot, log: Log, seconds: float, drive: Drive) -> Pot:
    chem, c = ctx.chem, pot.contents
    written = ctx.condition("humidity")
    humidity = ctx.knobs.practice("humidity") if written is None else written
    mass = _rate(ctx, pot, humidity, ctx.knobs.practice("evaporation_quiet")) * seconds
    state = c.state
    if mass <= 0.0 or state is None:
        return pot
    mass = min(mass, MOST * state.water)
    moles = mass / float(chem.system.component_mass[0])
    steam = moles * float(chem.system.gas_h[0] + chem.system.gas_cp[0] * (c.temperature - T0))
    wet = c.wet.copy()
    wet[0] -= moles
    left = c.enthalpy - steam
    if drive.hold is not None:
        new = at_temperature(chem, wet, c.dry, c.temperature, ctx.pressure, state)
        log.heat += new.enthalpy - left
    else:
        new = at_enthalpy(chem, wet, c.dry, left, pot.wall, c.temperature, ctx.pressure, state)
    log.gas[WATER_VAPOUR] += moles
    log.gas_heat += steam
    log.evaporated += mass
    pot = replace(pot, contents=new)
    write_instant(ctx, pot, log, 0.0, moles / seconds)
    return pot
