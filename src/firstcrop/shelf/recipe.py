"""Stock solutions: how much of a bottle and of water, how hot it gets, how to check it.

The strength may be on any basis and of another hydrate than the bottle holds: both are counted in
the components they bring. Heat, density and what dissolves are the engine's.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from firstcrop.bank.bank import Bank
from firstcrop.bank.practice import load_practice
from firstcrop.forecast.contents import Contents, at_temperature, mass_of, stirred_in, volume
from firstcrop.forecast.contents import Wall as NoWall
from firstcrop.forecast.resolve import INERT
from firstcrop.forecast.stock import Stock
from firstcrop.liquor.system import Floats
from firstcrop.problems import Problem
from firstcrop.quantity.records import Kind, Quantity, Strength
from firstcrop.shelf.mixture import Mixture, mixture
from firstcrop.shelf.recipe_steps import with_steps
from firstcrop.shelf.records import Recipe, Today

ROOM = 293.15  # K, where volumetric glass is true
AIR = 101325.0  # Pa
CHECKS = (288.15, 293.15, 298.15)  # K
SAME = 1e-6
STEP = 1e-3  # kg/kg, for the slope of density


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """A kilogram of solution: `feed` kg of the bottle, `water` kg; `wet` [C] mol in it."""

    made: Mixture
    stock: Stock
    feed: float
    water: float
    wet: Floats
    fraction: float


def recipe(
    today: Today, substance: str, strength: Strength, amount: Quantity, bank: Bank
) -> Recipe | Problem:
    """How to make `amount` (mass, or volume at 20 °C) of a solution from a bottle.

    A bottle too weak, one that holds something else, an impossible strength: a Problem.
    """
    if amount.kind not in (Kind.MASS, Kind.VOLUME) or amount.value <= 0.0:
        return Problem("stock.amount", "how much of it?", hint="a mass or a volume: 500 mL")
    plan = _plan(today, substance, strength, bank)
    if isinstance(plan, Problem):
        return plan
    at_room = _solution(plan, ROOM)
    if at_room.state is None or not at_room.state.ok:
        return Problem("stock.solve", "this solution could not be computed",
                       hint="is it weak enough to be a solution?")  # fmt: skip
    density = _density(plan, at_room)
    by_mass = amount.kind is Kind.MASS
    mass = amount.value if by_mass else amount.value * density
    found = _recipe(today, substance, strength, plan, at_room, mass)
    return with_steps(replace(found, by_mass=by_mass))


def _plan(today: Today, substance: str, strength: Strength, bank: Bank) -> Plan | Problem:
    bottle = today.level.bottle
    if today.strength is None and today.titrate:
        message = f"the strength of {bottle.name} is not known: {today.note}"
        return Problem("stock.unknown", message, hint="titrate it first")
    made = mixture(bank, (bottle.substance, today.strength), (substance, strength))
    if isinstance(made, Problem):
        return made
    stock, fraction = made.stock(0), made.fraction(strength, 1)
    if isinstance(stock, Problem):
        return stock
    if isinstance(fraction, Problem):
        return Problem(fraction.code, fraction.message.replace("content 1", substance))
    if not 0.0 < fraction < 1.0:
        return Problem("stock.strength", f"a solution of {fraction * 100:.4g} % w/w is none")
    return _balanced(today, made, stock, fraction)


def _balanced(today: Today, made: Mixture, stock: Stock, fraction: float) -> Plan | Problem:
    """The bottle and water that bring the components of the solution."""
    chem, target = made.chem, made.materials[1].substance
    wanted = fraction / target.molar_mass * chem.dry_components[chem.dry_index[target.key]]
    brings = stock.wet + (stock.dry * chem.soluble) @ chem.dry_components
    parts = [k for k in range(1, len(wanted)) if wanted[k] or brings[k]]
    if not parts or any(not wanted[k] or not brings[k] for k in parts):
        return _other(today, target.key)
    ratios = [float(wanted[k] / brings[k]) for k in parts]
    if max(ratios) - min(ratios) > SAME * max(ratios):
        return _other(today, target.key)
    feed = ratios[0]
    inert = chem.dry_index[INERT]
    dead = float(stock.dry[inert] * chem.dry_mass[inert])
    water = 1.0 - feed * (1.0 - dead)
    if water < -1e-9:
        message = (
            f"{today.level.bottle.name} is too weak: it would take "
            f"{feed:.3g} kg of it to a kg of solution"
        )
        return Problem("stock.weak", message, hint="take a stronger bottle, or boil it down")
    wet = feed * brings
    wet[0] += max(water, 0.0) / chem.system.component_mass[0]
    return Plan(made, stock, feed, max(water, 0.0), wet, fraction)


def _other(today: Today, wanted: str) -> Problem:
    bottle = today.level.bottle
    message = f"{bottle.name} holds {bottle.substance}: {wanted} cannot be made from it and water"
    return Problem("stock.other", message, hint="name another bottle, or write it as a sheet")


def _solution(plan: Plan, temperature: float, wet: Floats | None = None) -> Contents:
    chem = plan.made.chem
    used = plan.wet if wet is None else wet
    return at_temperature(chem, used, chem.nothing_dry(), temperature, AIR)


def _density(plan: Plan, c: Contents) -> float:
    chem = plan.made.chem
    return mass_of(chem, c.wet, c.dry) / volume(c, chem)


def _liquor_density(plan: Plan, c: Contents) -> float:
    """kg/m3 of what is dissolved, crystals set aside."""
    if c.state is None:
        return math.nan
    crystals = float(c.state.solids @ plan.made.chem.system.solid_mass)
    return (c.state.mass - crystals) / c.state.volume


def _crystals(plan: Plan, c: Contents, mass: float) -> tuple[tuple[str, float], ...]:
    if c.state is None:
        return ()
    system = plan.made.chem.system
    found = zip(system.solids, c.state.solids, system.solid_mass, strict=True)
    return tuple((key, float(n * m) * mass) for key, n, m in found if n > 0.0)


def _recipe(
    today: Today, substance: str, strength: Strength, plan: Plan, c: Contents, mass: float
) -> Recipe:
    chem = plan.made.chem
    density = _density(plan, c)
    hot = _mixed(plan)
    heat = (hot.enthalpy - _at_room(plan, hot).enthalpy) * mass
    water_density = _density(plan, _solution(plan, ROOM, _water(plan)))
    feed, water = plan.feed * mass, plan.water * mass
    parts = feed / plan.stock.density + water / water_density
    inert = chem.dry_index[INERT]
    used = today.strength
    return Recipe(
        bottle=today.level.bottle.name, substance=substance, strength=strength,
        fraction=plan.fraction, spread=used.band / used.value if used and used.value else 0.0,
        mass=mass, volume=mass / density, feed=feed, feed_volume=feed / plan.stock.density,
        liquid=plan.stock.liquid, water=water, water_volume=water / water_density,
        contraction=parts - mass / density, peak=hot.temperature, heat=heat,
        ice=_ice(heat, water, hot.temperature),
        densities=tuple((t, _liquor_density(plan, _solution(plan, t))) for t in CHECKS),
        slope=_slope(plan), crystals=_crystals(plan, c, mass),
        substance_held=today.level.bottle.substance,
        cloudy=float(plan.stock.dry[inert] * chem.dry_mass[inert]) * feed,
    )  # fmt: skip


def _water(plan: Plan) -> Floats:
    wet = plan.made.chem.nothing()
    wet[0] = 1.0 / plan.made.chem.system.component_mass[0]
    return wet


def _mixed(plan: Plan) -> Contents:
    """Bottle and water at 20 °C put together at once, no heat lost."""
    chem = plan.made.chem
    water = _solution(plan, ROOM, _water(plan) * plan.water)
    return stirred_in(chem, water, plan.stock.matter(chem, plan.feed, ROOM), NoWall(), AIR)


def _at_room(plan: Plan, c: Contents) -> Contents:
    """The same matter at 20 °C, insoluble matter included."""
    return at_temperature(plan.made.chem, c.wet, c.dry, ROOM, AIR)


def _ice(heat: float, water: float, peak: float) -> float:
    """kg of ice in place of as much water that brings the mixture to 20 °C."""
    if peak < load_practice("shelf")["hot_mixing"].value:
        return math.nan
    takes = load_practice("shelf")["ice_melts"].value + 4186.0 * (ROOM - 273.15)  # J/kg
    ice = heat / takes
    return ice if ice <= water else math.nan


def _slope(plan: Plan) -> float:
    """kg/kg to a kg/m3, by a solution a little weaker."""
    less = replace(plan, wet=_weaker(plan))
    gap = _density(plan, _solution(plan, ROOM)) - _density(less, _solution(less, ROOM))
    return STEP / gap if gap else math.nan


def _weaker(plan: Plan) -> Floats:
    share = 1.0 - STEP / plan.fraction
    return np.asarray(plan.wet * share + _water(plan) * (1.0 - share))
