"""Dry a drained solid: adhering water goes, what was dissolved in it stays."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from firstcrop.bank.practice import load_airing
from firstcrop.forecast.chemistry import T0, Chemistry
from firstcrop.forecast.contents import dry_enthalpy, mass_of
from firstcrop.forecast.dehydration import air_of, lose_water
from firstcrop.forecast.draining import adhering_water
from firstcrop.forecast.neat import flowing
from firstcrop.forecast.task import Task, find_cake, means_of
from firstcrop.forecast.world import Cake, World, thrown_out
from firstcrop.liquor.system import Floats
from firstcrop.quantity.records import Quantity

HEAVY = 450.0  # K: a liquid that boils higher does not dry in air: common practice


def dry(task: Task) -> World:
    """Take the free water off the cake; crystal water stays in air at room temperature."""
    clause = task.clause
    cake = find_cake(task, clause.what) or task.world.cakes.get(task.world.last_cake)
    if cake is None:
        task.complain("nothing to dry", "there is no drained solid to dry")
        return task.world
    how = _how(task)
    cake, task.world = dried(task, cake, how)
    cake = lose_water(task, cake, air_of(task, how, _temperature(task)))
    if cake.number:
        task.findings.cakes[cake.name] = cake
    return task.world.with_cake(cake)


def _how(task: Task) -> str:
    means = means_of(task)
    return means[0].kind if means else "air"


def dried(task: Task, cake: Cake, how: str) -> tuple[Cake, World]:
    """The cake without adhering water, and the world whose books the vapour has left."""
    chem = task.ctx.chem
    wet_mass = cake_mass(task, cake)
    gone = volatile_part(task, cake)
    oils = _drying_oils(task, cake)
    steam, latent = vapour_heat(chem, float(gone[0]), cake.temperature)
    steam += dry_enthalpy(chem, oils, cake.temperature)
    books = thrown_out(task.world.books, gone, oils, steam)
    books = replace(books, heat=books.heat + latent)
    left = replace(
        cake,
        liquor=cake.liquor - gone,
        dry=cake.dry - oils,
        dried=how,
        wet_mass=wet_mass,
        enthalpy=cake.enthalpy - steam + latent,
    )
    return left, replace(task.world, books=books)


def _drying_oils(task: Task, cake: Cake) -> Floats:
    """mol [D] of the liquids held that dry in air: those that boil below HEAVY. Their heat of
    vapour is not counted, on either side."""
    chem = task.ctx.chem
    light = [s.boiling_point is not None and s.boiling_point.value < HEAVY for s in chem.dry]
    return cake.dry * flowing(chem) * np.array(light, dtype=np.float64)


def volatile_part(task: Task, cake: Cake) -> Floats:
    """mol [C] that drying takes: free water and volatile solvents of the held liquor."""
    chem = task.ctx.chem
    gone = chem.nothing()
    gone[0] = adhering_water(task.ctx, cake.liquor, cake.temperature)
    for solvent in load_airing("volatile"):
        column = chem.index.get(solvent)
        if column is not None:
            gone[column] = cake.liquor[column]
    return gone


def vapour_heat(chem: Chemistry, water: float, temperature: float) -> tuple[float, float]:
    """J that `water` mol of vapour carry off at a temperature, and J that the surroundings give
    to make vapour of liquid water there."""
    system = chem.system
    vapour = float(system.gas_h[0] + system.gas_cp[0] * (temperature - T0))
    liquid = float(np.interp(temperature, system.t_grid, system.water_h))
    return water * vapour, water * (vapour - liquid)


def cake_mass(task: Task, cake: Cake) -> float:
    """kg of a cake with the liquor it holds."""
    chem = task.ctx.chem
    return float(cake.solids @ chem.system.solid_mass) + mass_of(chem, cake.liquor, cake.dry)


def _temperature(task: Task) -> float:
    clause = task.clause
    for written in (clause.at, clause.to_temperature):
        if isinstance(written, Quantity):
            return written.value
    for means in means_of(task):
        if means.temperature is not None:
            return means.temperature.value
        if means.kind == "oven":
            return 383.15
    return task.ctx.room
