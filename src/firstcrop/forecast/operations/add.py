"""Add a material (or something at hand) to a vessel; put is the same into a named vessel."""

from __future__ import annotations

from firstcrop.forecast.amounts import incoming_temperature, mass_of_amount
from firstcrop.forecast.blanks import solve_amount
from firstcrop.forecast.blanks_rate import solve_duration, solve_portions
from firstcrop.forecast.operations.transfer import transfer
from firstcrop.forecast.pouring import Pour, pour
from firstcrop.forecast.stock import Stock
from firstcrop.forecast.task import (
    Task,
    check_limits,
    done,
    drive_of,
    find_cake,
    find_pot,
    open_pot,
    quantity_value,
    stock_of,
    work_on,
)
from firstcrop.forecast.world import Pot, World
from firstcrop.quantity.records import Kind, Quantity
from firstcrop.sheet.records import Blank, EndKind, Excess


def add(task: Task) -> World:
    """Bring matter into the vessel in the written way, solving what was left open."""
    clause = task.clause
    named = clause.what.lower()
    if named not in task.ctx.ground.materials and (
        clause.source or find_cake(task, named) or find_pot(task, named)
    ):
        return transfer(task)
    stock = stock_of(task, clause.what)
    if stock is None:
        return task.world
    temperature = incoming_temperature(task, clause.what, clause.at)
    mass = mass_of_amount(task, clause.amount, stock)
    size = 2e-4 if mass is None else mass / stock.density
    pot = open_pot(task, clause.into, temperature, size)
    work_on(task, pot)
    if mass is None:
        mass = _open_amount(task, pot, stock, temperature)
        if mass is None:
            return task.world.with_pot(pot)
    how = _manner(task, pot, Pour(stock, clause.what, mass, temperature))
    return pour_in(task, pot, how)


def pour_in(task: Task, pot: Pot, how: Pour) -> World:
    """Pour, check the limits, keep the books."""
    first = len(task.log.instants)
    pot = pour(task.ctx, pot, task.log, how, drive_of(task))
    check_limits(task, task.log, first)
    key = how.label.lower()
    used = how.mass * how.stock.principal_mol
    task.ctx.used[key] = task.ctx.used.get(key, 0.0) + used
    return done(task, pot, (how.stock.matter(task.ctx.chem, how.mass, how.temperature),))


def _manner(task: Task, pot: Pot, how: Pour) -> Pour:
    """Duration, portions, rate and limit of the addition; blanks among them are solved."""
    clause = task.clause
    below = None if clause.below is None else clause.below.value
    seconds = _seconds(task, how)
    portions = clause.portions if isinstance(clause.portions, int) else None
    how = Pour(how.stock, how.label, how.mass, how.temperature, seconds, portions, below)
    if isinstance(clause.portions, Blank):
        return solve_portions(task, pot, how)
    if isinstance(clause.over, Blank) or isinstance(clause.rate, Blank):
        return solve_duration(task, pot, how)
    return how


def _seconds(task: Task, how: Pour) -> float | None:
    clause = task.clause
    if isinstance(clause.over, Quantity):
        return quantity_value(task, "over", clause.over, "time of the addition")
    if isinstance(clause.rate, Quantity):
        rate = clause.rate
        per = how.stock.density if rate.kind is Kind.VOLUME_FLOW else 1.0
        return how.mass / (rate.value * per) if rate.value > 0.0 else None
    if "dropwise" in clause.adverbs and how.stock.liquid and clause.portions is None:
        return _dropping(task, how)
    return None


def _dropping(task: Task, how: Pour) -> float:
    """s for a liquid that comes drop by drop at no stated rate."""
    rate = task.ctx.knobs.practice("dropping_rate")
    seconds = how.mass / how.stock.density / rate
    task.note(
        "dropwise taken",
        f"dropwise is taken as {rate * 6e7:.2g} mL/min: {how.label} comes in over "
        f"{seconds / 60.0:.2g} min",
        "adverbs",
    )
    return seconds


def _open_amount(task: Task, pot: Pot, stock: Stock, temperature: float) -> float | None:
    """kg for `?`, `an excess of`, or no amount at all."""
    clause = task.clause
    if isinstance(clause.amount, Excess):
        task.complain(
            "how much excess",
            f"how much is an excess of {clause.what}? The forecast needs an amount",
            "amount",
            "write an amount, or `? mL` with an end such as `to pH 3`",
        )
        return None
    if clause.amount is None and clause.end is None:
        task.complain(
            "missing amount",
            f"how much {clause.what}?",
            "what",
            "write an amount, or `?` with an end such as `to pH 3`",
        )
        return None
    ends = (EndKind.PH, EndKind.ENDPOINT, EndKind.DISSOLVED, EndKind.CLEAR, EndKind.GAS_STOPS)
    if clause.end is None or clause.end.kind not in ends:
        if isinstance(clause.amount, Blank) and clause.below is not None:
            return solve_amount(task, pot, stock, temperature)
        if isinstance(clause.amount, Blank | None):
            task.complain(
                "blank without a bound",
                f"nothing says when there is enough {clause.what}",
                "amount",
                "add an end: `to pH 3`, `until dissolved`, `until gas stops`",
            )
        return None
    return solve_amount(task, pot, stock, temperature)
