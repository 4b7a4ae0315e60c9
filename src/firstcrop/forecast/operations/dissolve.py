"""Dissolve a material, or crystals at hand, in a solvent at a temperature."""

from __future__ import annotations

from firstcrop.forecast.amounts import incoming_temperature, mass_of_amount
from firstcrop.forecast.blanks_time import just_dissolving, report_undissolved
from firstcrop.forecast.contents import Contents
from firstcrop.forecast.hull import heating
from firstcrop.forecast.march import Drive, flow, settle_gas, tip_in
from firstcrop.forecast.operations.transfer import transfer
from firstcrop.forecast.pouring import Pour
from firstcrop.forecast.ramp import ramp
from firstcrop.forecast.stock import Stock
from firstcrop.forecast.task import (
    Task,
    check_limits,
    done,
    drive_of,
    find_cake,
    find_pot,
    means_of,
    open_pot,
    stock_of,
    work_on,
)
from firstcrop.forecast.warmth import goal_temperature
from firstcrop.forecast.world import Cake, Pot, World
from firstcrop.quantity.records import Quantity
from firstcrop.sheet.records import Blank

BOILING_WATER = 372.9  # K, just under the boil of water


def dissolve(task: Task) -> World:
    """Solvent in, solid in, brought to the written temperature; says what stays undissolved."""
    clause = task.clause
    cake = None
    if clause.what not in task.ctx.ground.materials:
        cake = find_cake(task, clause.what)
    stock = None if cake is not None else stock_of(task, clause.what)
    if stock is None and cake is None:
        if find_pot(task, clause.what) is not None:
            report_undissolved(task, open_pot(task, ""), "what")
        return task.world
    if stock is not None and not task.ctx.chem.soluble[stock.principal]:
        task.complain(
            "does not dissolve",
            f"{clause.what} does not dissolve in water by itself",
            "what",
            "put it in, and declare the reaction that dissolves it under `## Reactions`",
        )
        return task.world
    solvent = stock_of(task, clause.solvent, "solvent") if clause.solvent else None
    pot = _pot(task, solvent is not None)
    work_on(task, pot)
    first = len(task.log.instants)
    if solvent is not None:
        mass = _solvent_mass(task, pot, solvent, stock, cake)
        if mass is None:
            return task.world
        pot = _tip(task, pot, solvent, clause.solvent, mass)
    if cake is not None:
        pot = _crystals_in(task, pot)
    elif stock is not None:
        amount = _solute_mass(task, pot, stock)
        if amount is None:
            return task.world
        pot = _tip(task, pot, stock, clause.what, amount)
    pot = settle_gas(task.ctx, pot, task.log, drive_of(task))
    pot = _to_temperature(task, pot)
    check_limits(task, task.log, first)
    report_undissolved(task, pot)
    return done(task, pot)


def _pot(task: Task, fresh: bool) -> Pot:
    """The written vessel; else the present one, or a clean one when it is not empty."""
    clause = task.clause
    present = find_pot(task, clause.into)
    if clause.into or not fresh or present is None:
        return open_pot(task, clause.into)
    c = present.contents
    if not (c.wet.any() or c.dry.any()):
        return present
    used = set(task.world.pots)
    unused = [v.name.lower() for v in task.ctx.ground.prep.vessels if v.name.lower() not in used]
    name = unused[0] if unused else f"vessel {len(used) + 1}"
    task.note("vessel taken", f"step {task.step.number} is done in a clean vessel: {name}")
    return open_pot(task, name)


def _tip(task: Task, pot: Pot, stock: Stock, name: str, mass: float) -> Pot:
    ctx = task.ctx
    temperature = incoming_temperature(task, name, _warm(task))
    pot = tip_in(ctx, pot, task.log, flow(ctx, name, stock, mass, temperature))
    how = Pour(stock, name, mass, temperature)
    used = how.mass * stock.principal_mol
    ctx.used[name.lower()] = ctx.used.get(name.lower(), 0.0) + used
    task.world = done(task, pot, (stock.matter(ctx.chem, mass, temperature),))
    return pot


def _warm(task: Task) -> Quantity | None:
    """The solvent comes at the written temperature; a solid does so too, which is small."""
    goal = task.clause.at
    return goal if isinstance(goal, Quantity) else None


def _crystals_in(task: Task, pot: Pot) -> Pot:
    task.world = task.world.with_pot(pot)
    inner = Task(task.ctx, task.world, task.clause, task.step, task.log, task.findings)
    task.world = transfer(inner)
    return task.world.pots[pot.name]


def _goal(task: Task, pot: Pot) -> float | None:
    goal = task.clause.to_temperature or task.clause.at
    if not isinstance(goal, Quantity):
        return None
    if goal.unit == "boiling" and pot.contents.state is None:
        return BOILING_WATER
    return goal_temperature(task, pot, goal, "at")


def _to_temperature(task: Task, pot: Pot) -> Pot:
    target = _goal(task, pot)
    if target is None:
        return pot
    warmer = target > pot.contents.temperature
    drive = Drive(heating(task.ctx, means_of(task))) if warmer else drive_of(task)
    seconds = None if warmer or drive.around.temperature < target else 0.0
    return ramp(task.ctx, pot, task.log, target, drive, task.clause.place, seconds)


def _solvent_mass(
    task: Task, pot: Pot, solvent: Stock, stock: Stock | None, cake: Cake | None
) -> float | None:
    clause = task.clause
    if not isinstance(clause.solvent_amount, Blank):
        mass = mass_of_amount(task, clause.solvent_amount, solvent, "solvent_amount")
        if mass is None:
            task.complain("missing amount", f"in how much {clause.solvent}?", "solvent")
        return mass
    c = pot.contents
    wet, dry = c.wet, c.dry
    if cake is not None:
        wet = wet + cake.solids @ task.ctx.chem.system.solid_nu + cake.liquor
        dry = dry + cake.dry
        size = float(cake.solids @ task.ctx.chem.system.solid_mass)
    else:
        assert stock is not None
        mass = mass_of_amount(task, clause.amount, stock)
        if mass is None:
            task.complain("two blanks", "how much is to be dissolved?", "amount")
            return None
        wet, dry, size = wet + stock.wet * mass, dry + stock.dry * mass, mass
    target = _goal(task, pot)
    temperature = task.ctx.room if target is None else target
    trial = Contents(wet, dry, temperature, 0.0)
    first = max(size, 1e-4) * 0.05
    found = just_dissolving(task, trial, solvent, temperature, first, first * 2.0**16)
    if found is None:
        task.complain(
            "blank without an answer",
            f"no amount of {clause.solvent} dissolves it at {temperature - 273.15:.4g} °C",
            "solvent_amount",
        )
        return None
    bound = f"less leaves crystals at {temperature - 273.15:.4g} °C"
    task.answer_mass(found, solvent, "solvent_amount", bound, clause.solvent_amount.unit)
    return found


def _solute_mass(task: Task, pot: Pot, stock: Stock) -> float | None:
    clause = task.clause
    if not isinstance(clause.amount, Blank):
        mass = mass_of_amount(task, clause.amount, stock)
        if mass is None and clause.amount is None:
            task.complain("missing amount", f"how much {clause.what}?", "what")
        return mass
    target = _goal(task, pot)
    temperature = pot.contents.temperature if target is None else target
    c = pot.contents
    first = max(float(c.wet @ task.ctx.chem.system.component_mass), 1e-4) * 1e-3
    found = just_dissolving(task, c, stock, temperature, first, first * 2.0**14)
    if found is None:
        task.complain(
            "blank without an answer",
            f"nothing limits how much {clause.what} dissolves, as far as the bank knows",
            "amount",
        )
        return None
    bound = f"more stays undissolved at {temperature - 273.15:.4g} °C"
    task.answer_mass(found, stock, "amount", bound, clause.amount.unit)
    return found
