"""Throw something away: it leaves the bench, not the books."""

from __future__ import annotations

from dataclasses import replace

from firstcrop.forecast.contents import empty
from firstcrop.forecast.task import Task, find_cake, find_pot
from firstcrop.forecast.world import World, thrown_out


def discard(task: Task) -> World:
    """Throw a solid or a liquor away."""
    cake = find_cake(task, task.clause.what)
    world = task.world
    if cake is not None:
        wet = cake.solids @ task.ctx.chem.system.solid_nu + cake.liquor
        books = thrown_out(world.books, wet, cake.dry, cake.enthalpy)
        cakes = {n: c for n, c in world.cakes.items() if n != cake.name}
        return replace(world, cakes=cakes, books=books)
    pot = find_pot(task, task.clause.what)
    if pot is None:
        task.complain("nothing there", f"there is no {task.clause.what} to discard", "what")
        return world
    c = pot.contents
    books = thrown_out(world.books, c.wet, c.dry, c.enthalpy)
    gone = replace(pot, contents=empty(task.ctx.chem, c.temperature))
    return replace(world, books=books).with_pot(gone)
