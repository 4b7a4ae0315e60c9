"""Solids apart from liquor: what a filter holds back, and the liquor that stays in it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from firstcrop.forecast.chemistry import Chemistry
from firstcrop.forecast.contents import (
    FREE_WATER,
    Contents,
    at_temperature,
    dry_enthalpy,
    gas_waiting,
    liquid_enthalpy,
    liquid_part,
    mass_of,
    solids_enthalpy,
    solids_of,
)
from firstcrop.forecast.context import Context
from firstcrop.forecast.neat import flowing
from firstcrop.forecast.solvents import settle
from firstcrop.liquor.system import Floats


@dataclass(frozen=True, slots=True, eq=False)
class Drained:
    """Both sides of a filter: crystals [N], dry matter, liquor held [C], and the rest."""

    solids: Floats
    held: Floats
    dry: Floats
    enthalpy: float  # J of the cake
    liquor: Contents


def retention(ctx: Context, solids: Floats, dry: Floats, decanted: bool = False) -> float:
    """kg of liquor held per kg of solid."""
    if decanted:
        return ctx.knobs.practice("decant_left")
    chem = ctx.chem
    masses = solids * chem.system.solid_mass
    if masses.size and masses.sum() > float(dry @ chem.dry_mass):
        kind = solid_kind(ctx, chem.system.solids[int(np.argmax(masses))])
        return ctx.knobs.practice(kind)
    return ctx.knobs.practice("cake_crystalline")


def solid_kind(ctx: Context, name: str) -> str:
    """The practice row for how a solid drains."""
    solid = ctx.ground.bank.solids.get(name)
    how = solid.filters.lower() if solid is not None else ""
    if "gelatin" in how or "floc" in how:
        return "cake_gelatinous"
    if "fine" in how or "powder" in how:
        return "cake_fine"
    return "cake_crystalline"


def drain(ctx: Context, c: Contents, decanted: bool = False) -> Drained:
    """Split contents at a filter at their own temperature: solids stay with a part of what is
    liquid, watery or not. Enthalpy is shared exactly."""
    chem = ctx.chem
    solids, liquid = solids_of(c, chem), liquid_part(c, chem)
    oils = c.dry * flowing(chem)
    stays = c.dry - oils
    solid_mass = float(solids @ chem.system.solid_mass + stays @ chem.dry_mass)
    liquid_mass = mass_of(chem, liquid, oils)
    part = 0.0
    if liquid_mass > 0.0 and solid_mass > 0.0:
        part = min(retention(ctx, solids, stays, decanted) * solid_mass / liquid_mass, 0.95)
    held = stays + part * oils
    heat = part * liquid_enthalpy(c, chem)
    heat += solids_enthalpy(chem, solids, c.temperature) + dry_enthalpy(chem, held, c.temperature)
    liquor = without_solids(c, chem, part, c.enthalpy - heat, (1.0 - part) * oils)
    return Drained(solids, part * liquid, held, heat, liquor)


def without_solids(
    c: Contents, chem: Chemistry, part: float, enthalpy: float, oils: Floats
) -> Contents:
    """The liquor that runs through with its oils [D]: no solids, less the `part` the cake holds."""
    rest = 1.0 - part
    gas = gas_waiting(c, chem)
    wet = rest * liquid_part(c, chem) + gas @ chem.system.gas_nu
    if c.state is None or wet[0] <= FREE_WATER:
        return Contents(wet, oils, c.temperature, enthalpy)
    state = settle(chem.system, chem.mix, wet, c.temperature, c.state.pressure)
    return Contents(wet, oils, c.temperature, enthalpy, state)


def adhering_water(ctx: Context, liquor: Floats, temperature: float) -> float:
    """mol of H2O that drying takes from liquor [C] held in a cake: its free water."""
    if liquor[0] <= 0.0:
        return 0.0
    c = at_temperature(ctx.chem, liquor, ctx.chem.nothing_dry(), temperature, ctx.pressure)
    if c.state is None or not c.state.ok:
        return float(liquor[0])
    return c.state.water / float(ctx.chem.system.component_mass[0])
