"""Filter or decant: the solid becomes a cake, the liquor stays in its vessel."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from firstcrop.forecast.contents import Matter, empty, liquid_part, solids_of
from firstcrop.forecast.draining import drain
from firstcrop.forecast.march import write_instant
from firstcrop.forecast.operations.transfer import mixed
from firstcrop.forecast.task import Task, find_cake, find_pot, open_pot, work_on
from firstcrop.forecast.world import Cake, Pot, World
from firstcrop.sheet.records import Basket, Verb


def filtering(task: Task) -> World:
    """Filter: keep the liquor, the crystals, or (nothing written) both at hand."""
    return _separate(task, decanted=task.clause.verb is Verb.DECANT)


def _separate(task: Task, decanted: bool) -> World:
    clause = task.clause
    pot = find_pot(task, clause.source or clause.what)
    if pot is None and find_cake(task, clause.what) is None:
        pot = find_pot(task, "")
    if pot is None:
        task.complain("nothing there", "there is nothing to filter", "what")
        return task.world
    work_on(task, pot)
    keeps_solid = clause.keep is Basket.CRYSTALS
    if not _has_solid(task, pot):
        task.warn("nothing to filter off", f"step {task.step.number}: no solid is there to filter")
    cake, pot = _split(task, pot, decanted, keeps_solid)
    world = task.world.with_pot(pot)
    liquor = pot.name
    if clause.into and clause.into.lower() != pot.name:
        world, liquor = _pour_off(task, world, pot, clause.into)
    world = world.with_cake(cake)
    crystals = cake.name if cake.kind == "crystals" else world.crystals
    residue = cake.name if cake.kind == "residue" else world.residue
    world = replace(
        world,
        liquor=liquor,
        crystals=crystals,
        residue=residue,
        here=liquor,
        crops=max(world.crops, cake.number),
        last_cake=cake.name,
    )
    task.log.moved = True
    write_instant(task.ctx, world.pots[liquor], task.log, 0.0)
    if cake.number:
        task.findings.cakes[cake.name] = cake
    return world


def _has_solid(task: Task, pot: Pot) -> bool:
    solids = solids_of(pot.contents, task.ctx.chem)
    return bool(np.any(solids > 1e-9) or np.any(pot.contents.dry > 1e-9))


def _split(task: Task, pot: Pot, decanted: bool, keeps_solid: bool) -> tuple[Cake, Pot]:
    ctx = task.ctx
    parts = drain(ctx, pot.contents, decanted)
    left = liquid_part(parts.liquor, ctx.chem)
    number = task.world.crops + 1 if keeps_solid and _has_solid(task, pot) else 0
    kind = "crystals" if task.clause.keep is Basket.CRYSTALS or number else "residue"
    name = f"crop {number}" if number else f"{kind} of step {task.step.number}"
    cake = Cake(
        name=name,
        kind=kind,
        step=task.step.number,
        place=task.clause.place,
        solids=parts.solids,
        liquor=parts.held,
        dry=parts.dry,
        temperature=pot.contents.temperature,
        enthalpy=parts.enthalpy,
        number=number,
        before=parts.solids @ ctx.chem.system.solid_nu + parts.held + left,
        filtered=parts.solids,
        left=left,
    )
    return cake, replace(pot, contents=parts.liquor)


def _pour_off(task: Task, world: World, pot: Pot, goal: str) -> tuple[World, str]:
    """The filtrate into another vessel, which takes its temperature with its own wall."""
    task.world = world
    receiver = open_pot(task, goal)
    c = pot.contents
    receiver = mixed(task, receiver, Matter(c.wet, c.dry, c.enthalpy))
    emptied = replace(pot, contents=empty(task.ctx.chem, c.temperature))
    return task.world.with_pot(emptied).with_pot(receiver), receiver.name
