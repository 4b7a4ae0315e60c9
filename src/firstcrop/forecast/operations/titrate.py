"""Titrate the vessel, or an aliquot of it, to a pH or an indicator's colour."""

from __future__ import annotations

from dataclasses import replace

from firstcrop.forecast.blanks import ph_goal, solve_amount
from firstcrop.forecast.contents import Matter, mass_of, volume
from firstcrop.forecast.operations.add import pour_in
from firstcrop.forecast.operations.transfer import mixed, split
from firstcrop.forecast.pouring import Pour
from firstcrop.forecast.task import (
    Task,
    find_pot,
    open_pot,
    quantity_value,
    stock_of,
    work_on,
)
from firstcrop.forecast.world import Pot, World
from firstcrop.quantity.records import Kind, Quantity


def titrate(task: Task) -> World:
    """Titrant in until the end; an aliquot is taken out into a vessel of its own first."""
    clause = task.clause
    stock = stock_of(task, clause.what)
    if stock is None:
        return task.world
    pot = find_pot(task, clause.into)
    if pot is None:
        task.complain("nothing there", "there is nothing to titrate", "into")
        return task.world
    if isinstance(clause.into_amount, Quantity):
        pot = _aliquot(task, pot, clause.into_amount)
    work_on(task, pot)
    if clause.end is None:
        task.complain("end not said", "at which pH does the titration end?", "verb")
        return task.world
    if ph_goal(task) is None:
        return task.world
    mass = solve_amount(task, pot, stock, task.ctx.room)
    if mass is None:
        return task.world
    return pour_in(task, pot, Pour(stock, clause.what, mass, task.ctx.room))


def _aliquot(task: Task, source: Pot, amount: Quantity) -> Pot:
    chem = task.ctx.chem
    c = source.contents
    value = quantity_value(task, "into_amount", amount, "amount titrated")
    whole = volume(c, chem) if amount.kind is Kind.VOLUME else mass_of(chem, c.wet, c.dry)
    part = min(value / whole, 1.0) if whole > 0.0 else 0.0
    moving, staying = split(chem, c, part)
    task.world = task.world.with_pot(replace(source, contents=staying))
    pot = open_pot(task, f"titration of step {task.step.number}", size=volume(c, chem) * part)
    work_on(task, pot)
    pot = mixed(task, pot, Matter(moving.wet, moving.dry, moving.enthalpy))
    task.world = task.world.with_pot(pot)
    return pot
