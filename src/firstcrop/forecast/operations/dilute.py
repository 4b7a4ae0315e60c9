"""Dilute with a liquid, or dilute or make up to a volume."""

from __future__ import annotations

from firstcrop.forecast.amounts import incoming_temperature, mass_of_amount
from firstcrop.forecast.contents import stirred_in, volume
from firstcrop.forecast.operations.add import pour_in
from firstcrop.forecast.pouring import Pour
from firstcrop.forecast.roots import first_root
from firstcrop.forecast.stock import Stock
from firstcrop.forecast.task import Task, open_pot, quantity_value, stock_of, work_on
from firstcrop.forecast.world import Pot, World
from firstcrop.quantity.records import Quantity
from firstcrop.sheet.records import Blank


def dilute(task: Task) -> World:
    """Add a liquid (water when none is named) by amount, or until the volume is reached."""
    clause = task.clause
    liquid = clause.what or clause.solvent or "water"
    stock = stock_of(task, liquid)
    if stock is None:
        return task.world
    pot = open_pot(task, clause.into)
    work_on(task, pot)
    goal = clause.to_volume
    temperature = incoming_temperature(task, liquid, clause.at)
    if isinstance(goal, Quantity):
        target = quantity_value(task, "to_volume", goal, "volume diluted to")
        mass = _to_volume(task, pot, stock, target, temperature)
        if mass is not None and isinstance(clause.amount, Blank):
            bound = f"the volume reaches {target * 1e6:.4g} mL"
            task.answer_mass(mass, stock, "amount", bound, clause.amount.unit)
    else:
        mass = mass_of_amount(task, clause.amount or clause.solvent_amount, stock)
    if mass is None:
        task.complain("missing amount", f"how much {liquid}?", "amount")
        return task.world
    seconds = None
    if isinstance(clause.over, Quantity):
        seconds = clause.over.value
    return pour_in(task, pot, Pour(stock, liquid, mass, temperature, seconds))


def _to_volume(
    task: Task, pot: Pot, stock: Stock, target: float, temperature: float
) -> float | None:
    c, ctx = pot.contents, task.ctx

    def f(mass: float) -> float:
        matter = stock.matter(ctx.chem, mass, temperature)
        return volume(stirred_in(ctx.chem, c, matter, pot.wall, ctx.pressure), ctx.chem) - target

    now = volume(c, ctx.chem)
    if now > target * (1.0 + 1e-6):
        task.complain(
            "volume passed already",
            f"it is {now * 1e6:.4g} mL, more than {target * 1e6:.4g} mL",
            "to_volume",
            "boil down instead",
        )
        return None
    return first_root(f, max(target - now, 1e-7) * 500.0, 1e6 * target, 1e-9)
