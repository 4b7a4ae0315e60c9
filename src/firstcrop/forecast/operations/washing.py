"""Wash a drained solid: the wash liquid takes the place of the held liquor and dissolves some."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from firstcrop.forecast.amounts import incoming_temperature, mass_of_amount
from firstcrop.forecast.contents import (
    Contents,
    Wall,
    at_enthalpy,
    dry_enthalpy,
    mass_of,
    solids_enthalpy,
)
from firstcrop.forecast.draining import retention
from firstcrop.forecast.solvent_notes import heed
from firstcrop.forecast.stock import Stock
from firstcrop.forecast.task import Task, find_cake, stock_of
from firstcrop.forecast.world import Cake, World, brought_in, thrown_out
from firstcrop.liquor.system import Floats
from firstcrop.sheet.records import Amount, Blank


def wash(task: Task) -> World:
    """Wash the last cake (or the named one), as often as written; the washings go away."""
    clause = task.clause
    cake, liquid, amount = _who_and_what(task)
    if cake is None:
        task.complain("nothing to wash", "there is no drained solid to wash")
        return task.world
    stock = stock_of(task, liquid, "solvent") if liquid else None
    if stock is None:
        if not liquid:
            task.complain("wash with what", "say what to wash with, and how much")
        return task.world
    mass = None if isinstance(amount, Blank) else mass_of_amount(task, amount, stock)
    if mass is None:
        task.complain("missing amount", f"how much {liquid} to wash with?", "amount")
        return task.world
    temperature = incoming_temperature(task, liquid, clause.at)
    for _ in range(max(clause.times, 1)):
        cake = _once(task, cake, stock, mass, temperature)
    if cake.number:
        task.findings.cakes[cake.name] = cake
    return task.world.with_cake(cake)


def _who_and_what(task: Task) -> tuple[Cake | None, str, Amount | None]:
    """The cake, the name of the wash liquid and its amount, whichever slot holds them."""
    clause = task.clause
    last = task.world.cakes.get(task.world.last_cake)
    if clause.solvent:
        cake = find_cake(task, clause.what) if clause.what else last
        return cake or last, clause.solvent, clause.solvent_amount or clause.amount
    cake = find_cake(task, clause.into or clause.source) or last
    if find_cake(task, clause.what) is not None:
        return find_cake(task, clause.what), "", None
    return cake, clause.what, clause.amount


def _once(task: Task, cake: Cake, stock: Stock, mass: float, temperature: float) -> Cake:
    ctx = task.ctx
    matter = stock.matter(ctx.chem, mass, temperature)
    task.world = replace(task.world, books=brought_in(task.world.books, matter))
    wet, heat = matter.wet, matter.enthalpy
    dry_liquid = matter.dry * ctx.chem.soluble
    if np.any(dry_liquid):
        wet = wet + dry_liquid @ ctx.chem.dry_components
    return _dissolving(task, cake, wet, heat)


def _displaced(task: Task, cake: Cake, wet: Floats, heat: float) -> Cake:
    """Well-mixed displacement: what is held becomes wash liquid as 1 - exp(-wash/held)."""
    chem = task.ctx.chem
    held = mass_of(chem, cake.liquor, chem.nothing_dry())
    brought = mass_of(chem, wet, chem.nothing_dry())
    keeps = float(np.exp(-brought / held)) if held > 0.0 else 0.0
    old = keeps * cake.liquor
    new = wet * ((1.0 - keeps) * held / brought) if brought > 0.0 else wet * 0.0
    away = cake.liquor + wet - old - new
    share = mass_of(chem, away, chem.nothing_dry()) / max(held + brought, 1e-12)
    carried = heat * share
    books = thrown_out(task.world.books, away, chem.nothing_dry(), carried)
    task.world = replace(task.world, books=books)
    return replace(cake, liquor=old + new, enthalpy=cake.enthalpy + heat - carried)


def _dissolving(task: Task, cake: Cake, wet: Floats, heat: float) -> Cake:
    """Equilibrium of a part of the crystals with wash and held liquor, then drained again.

    The part is how far a quick wash comes to saturation; the rest of the crystals does not see
    the wash.
    """
    ctx, chem = task.ctx, task.ctx.chem
    approach = ctx.knobs.practice("wash_approach")
    system = chem.system
    all_solids = cake.solids @ system.solid_nu
    mixed = Contents(
        all_solids + cake.liquor + wet, cake.dry, cake.temperature, cake.enthalpy + heat
    )
    c = at_enthalpy(
        chem, mixed.wet, mixed.dry, mixed.enthalpy, Wall(), cake.temperature, ctx.pressure
    )
    if c.state is None or not c.state.ok:
        task.warn(
            "no equilibrium",
            "what the wash dissolves could not be reckoned: it only pushes the liquor out",
        )
        return _displaced(task, cake, wet, heat)
    heed(ctx, c.state, task.clause.place)
    lost = np.maximum(cake.solids - c.state.solids, 0.0) * approach
    kept = np.where(c.state.solids > cake.solids, cake.solids, cake.solids - lost)
    liquor = mixed.wet - kept @ system.solid_nu
    ratio = retention(ctx, kept, cake.dry)
    solid_mass = float(kept @ system.solid_mass + cake.dry @ chem.dry_mass)
    liquid_mass = mass_of(chem, liquor, chem.nothing_dry())
    part = min(ratio * solid_mass / liquid_mass, 1.0) if liquid_mass > 0.0 else 0.0
    away = liquor * (1.0 - part)
    fixed = solids_enthalpy(chem, kept, c.temperature) + dry_enthalpy(chem, cake.dry, c.temperature)
    carried = (1.0 - part) * (mixed.enthalpy - fixed)
    books = thrown_out(task.world.books, away, chem.nothing_dry(), carried)
    task.world = replace(task.world, books=books)
    return replace(
        cake,
        solids=kept,
        liquor=part * liquor,
        temperature=c.temperature,
        enthalpy=mixed.enthalpy - carried,
    )
