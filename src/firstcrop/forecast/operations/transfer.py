"""Move what is at hand into a vessel: transfer, combine, return."""

from __future__ import annotations

from dataclasses import replace

from firstcrop.forecast.chemistry import Chemistry
from firstcrop.forecast.contents import FREE_WATER, Contents, Matter, mass_of, stirred_in, volume
from firstcrop.forecast.march import check_state, settle_gas, write_instant
from firstcrop.forecast.solvents import settle
from firstcrop.forecast.task import (
    MIXTURE_WORDS,
    Task,
    done,
    drive_of,
    find_cake,
    find_pot,
    open_pot,
    quantity_value,
    work_on,
)
from firstcrop.forecast.world import Cake, Pot, World
from firstcrop.quantity.records import Kind, Quantity
from firstcrop.sheet.records import Rest


def transfer(task: Task) -> World:
    """Move a drained solid, or a vessel's contents or a part of them, into a vessel."""
    clause = task.clause
    word = clause.source if clause.source and clause.what in MIXTURE_WORDS else clause.what
    cake = find_cake(task, word)
    if cake is None and clause.source:
        cake = find_cake(task, clause.source) if not find_pot(task, clause.source) else None
    goal = _goal(task)
    if cake is not None and word.lower() not in task.world.pots:
        return _return_cake(task, cake, goal)
    source = find_pot(task, clause.source or word)
    if isinstance(clause.amount, Rest) and not clause.source:
        source = task.world.pots.get(task.world.parted, source)
    if source is None:
        task.complain("nothing there", f"there is no {word or clause.source} to move", "what")
        return task.world
    if source.name == goal.lower():
        return task.world.with_pot(source)
    return _move(task, source, goal)


def _goal(task: Task) -> str:
    """Name of the vessel to move into."""
    return task.clause.into or task.world.here


def _return_cake(task: Task, cake: Cake, goal: str) -> World:
    pot = open_pot(task, goal)
    work_on(task, pot)
    wet = cake.solids @ task.ctx.chem.system.solid_nu + cake.liquor
    pot = mixed(task, pot, Matter(wet, cake.dry, cake.enthalpy))
    cakes = {name: c for name, c in task.world.cakes.items() if name != cake.name}
    task.world = replace(task.world, cakes=cakes)
    return done(task, pot)


def mixed(task: Task, pot: Pot, matter: Matter) -> Pot:
    """The vessel after matter has been stirred in without loss of heat."""
    c, ctx = pot.contents, task.ctx
    new = stirred_in(ctx.chem, c, matter, pot.wall, ctx.pressure)
    check_state(ctx, task.log, new)
    pot = replace(pot, contents=new)
    task.log.moved = True
    write_instant(ctx, pot, task.log, 0.0)
    return settle_gas(ctx, pot, task.log, drive_of(task))


def _move(task: Task, source: Pot, goal: str) -> World:
    pot = open_pot(task, goal, source.contents.temperature, volume(source.contents, task.ctx.chem))
    part = share_of(task, source.contents)
    if part is None:
        return task.world
    moving, staying = split(task.ctx.chem, source.contents, part)
    work_on(task, pot)
    pot = mixed(task, pot, Matter(moving.wet, moving.dry, moving.enthalpy))
    task.world = task.world.with_pot(replace(source, contents=staying))
    task.world = replace(task.world, parted=source.name if part < 0.999 else "")
    if task.world.liquor == source.name and part > 0.999:
        task.world = replace(task.world, liquor=pot.name)
    return done(task, pot)


def split(chem: Chemistry, c: Contents, part: float) -> tuple[Contents, Contents]:
    """A well-stirred mixture in two: `part` of it, and the rest."""
    moving = Contents(c.wet * part, c.dry * part, c.temperature, c.enthalpy * part)
    rest = 1.0 - part
    wet = c.wet * rest
    state = None
    if c.state is not None and wet[0] > FREE_WATER:
        state = settle(chem.system, chem.mix, wet, c.temperature, c.state.pressure)
    return moving, Contents(wet, c.dry * rest, c.temperature, c.enthalpy * rest, state)


def share_of(task: Task, c: Contents) -> float | None:
    """Which part of a vessel's contents the written amount is; all when none is written."""
    amount = task.clause.amount
    if not isinstance(amount, Quantity):
        return 1.0
    value = quantity_value(task, "amount", amount, "amount moved")
    chem = task.ctx.chem
    total = {
        Kind.VOLUME: volume(c, chem),
        Kind.MASS: mass_of(chem, c.wet, c.dry),
        Kind.FRACTION: 1.0,
        Kind.NUMBER: 1.0,
    }.get(amount.kind)
    if total is None or total <= 0.0:
        task.complain("amount of what kind", "give a part, a mass or a volume", "amount")
        return None
    if value > total * (1.0 + 1e-9):
        task.warn("more than there is", "less than that is there: all of it is taken", "amount")
    return min(value / total, 1.0)
