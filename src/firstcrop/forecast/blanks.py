"""Blanks of an addition: how much, in how many portions, over what time."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from firstcrop.forecast.contents import (
    Contents,
    at_enthalpy,
    at_temperature,
    gas_waiting,
    without_gas,
)
from firstcrop.forecast.context import Context
from firstcrop.forecast.pouring import Pour, pour
from firstcrop.forecast.roots import bracketed, grown
from firstcrop.forecast.spent import spent_on
from firstcrop.forecast.stock import Stock
from firstcrop.forecast.task import Task, drive_of, fresh_log
from firstcrop.forecast.world import Pot
from firstcrop.quantity.records import Quantity
from firstcrop.sheet.records import Blank, EndKind

MOST_TIMES = 50.0  # an addition larger than this many times the contents is no answer
SHORTEST, LONGEST = 1.0, 86400.0  # s
NEUTRAL = 7.0
CLOSE_PH = 0.03  # between the quick scan and the whole simulation
INDICATORS = (
    ("phenolphthalein", 8.8),
    ("methyl orange", 3.7),
    ("methyl red", 5.1),
    ("bromothymol", 6.9),
    ("bromocresol green", 4.6),
    ("litmus", 7.0),
    ("universal", 7.0),
)


def solve_amount(task: Task, pot: Pot, stock: Stock, temperature: float) -> float | None:
    """kg of the material that just meets the end of the clause; None after a Problem."""
    end = task.clause.end
    if end is None:
        return _most_below(task, pot, stock, temperature)
    if end.kind in (EndKind.PH, EndKind.ENDPOINT):
        goal = ph_goal(task)
        return None if goal is None else _to_ph(task, pot, stock, temperature, goal)
    if end.kind is EndKind.GAS_STOPS:
        return _until_no_gas(task, pot, stock, temperature)
    return _until_clear(task, pot, stock, temperature)


def ph_goal(task: Task) -> float | None:
    """The pH that ends the clause: written, or the indicator's; None after a Problem."""
    end = task.clause.end
    assert end is not None
    if isinstance(end.value, Quantity):
        return end.value.value
    for name, ph in INDICATORS:
        if name in end.indicator.lower():
            return ph
    task.complain(
        "end not said", "at which pH does this end?", "end", "write `to pH 7` or an indicator"
    )
    return None


def _after(task: Task, c: Contents, stock: Stock, mass: float, temperature: float) -> Contents:
    """Equilibrium of the contents with so much of the stock, at a temperature."""
    wet, dry = c.wet + stock.wet * mass, c.dry + stock.dry * mass
    return at_temperature(task.ctx.chem, wet, dry, temperature, task.ctx.pressure, c.state)


def _first_guess(task: Task, pot: Pot) -> tuple[float, float]:
    """kg to start looking at, and the most one would add."""
    c = pot.contents
    chem = task.ctx.chem
    total = float(c.wet @ chem.system.component_mass + c.dry @ chem.dry_mass)
    return max(total, 1e-3) * 0.01, max(total, 1e-3) * MOST_TIMES


def _root(task: Task, pot: Pot, f: Callable[[float], float]) -> float | None:
    first, most = _first_guess(task, pot)
    span = grown(f, first, most)
    if span is None:
        return None
    low, high, at_low, at_high = span
    return bracketed(f, low, high, 1e-7 * high, at_low, at_high)


def _to_ph(task: Task, pot: Pot, stock: Stock, temperature: float, goal: float) -> float | None:
    c = pot.contents
    if c.state is None:
        task.complain("blank without an answer", "there is no liquor to bring to a pH", "amount")
        return None
    began = c.state.ph

    def quick(at: float) -> float | None:
        return _scan(task, pot, stock, at, goal)

    mass = quick(c.temperature)
    if mass is None:
        _, most = _first_guess(task, pot)
        far = _after(task, c, stock, most * 0.2, c.temperature)
        reached = far.state.ph if far.state is not None else math.nan
        task.complain(
            "blank without an answer",
            f"it stands at pH {began:.2f}, and {stock.name} brings it toward pH {reached:.2f}, "
            f"never to pH {goal:.4g}",
            "amount",
            "check the end, or use another acid or base",
        )
        return None
    end_pot, mass = _refined(task, pot, stock, mass, temperature, quick)
    terms = spent_on(task.ctx, pot.contents, end_pot.contents, stock, mass)
    ph = end_pot.contents.state.ph if end_pot.contents.state is not None else math.nan
    task.answer_mass(
        mass, stock, "amount", f"the pH goes from {began:.2f} to {ph:.2f}", _unit_of(task), terms
    )
    return mass


def _scan(task: Task, pot: Pot, stock: Stock, at: float, goal: float) -> float | None:
    """kg to a pH, adding in growing helpings from which the gas leaves before the next."""
    chem = task.ctx.chem
    here = at_temperature(chem, pot.contents.wet, pot.contents.dry, at, task.ctx.pressure)
    here = without_gas(here, chem, gas_waiting(here, chem))
    helping, most = _first_guess(task, pot)
    added, rising = 0.0, _ph(here) < goal

    while added < most:
        new = _after(task, here, stock, helping, at)
        if (_ph(new) < goal) != rising:
            root = _within(task, here, stock, at, goal, helping, _ph(new))
            return None if root is None else added + root
        if not (new.state is not None and new.state.ok):
            return None
        here = without_gas(new, chem, gas_waiting(new, chem))
        added += helping
        helping *= 1.3
    return None


def _within(
    task: Task, here: Contents, stock: Stock, at: float, goal: float, helping: float, end: float
) -> float | None:
    def f(mass: float) -> float:
        return _ph(_after(task, here, stock, mass, at)) - goal

    return bracketed(f, 0.0, helping, 1e-7 * helping, _ph(here) - goal, end - goal)


def _ph(c: Contents) -> float:
    return c.state.ph if c.state is not None else math.nan


def _refined(
    task: Task,
    pot: Pot,
    stock: Stock,
    mass: float,
    temperature: float,
    quick: Callable[[float], float | None],
) -> tuple[Pot, float]:
    """Run the addition, then solve again at the temperature it ends with."""
    end = pot
    goal = ph_goal(task) or NEUTRAL

    def run(trial: float) -> Pot:
        how = _pour_of(task, stock, trial, temperature)
        return pour(quiet(task), pot, fresh_log(task), how, drive_of(task))

    end = run(mass)
    for _ in range(3):
        better = quick(end.contents.temperature)
        if abs(_ph(end.contents) - goal) < CLOSE_PH or better is None or better == mass:
            break
        mass = better
        end = run(mass)
    if abs(_ph(end.contents) - goal) > CLOSE_PH:
        found = _on_the_run(lambda m: _ph(run(m).contents) - goal, mass)
        if found is not None:
            mass = found
            end = run(mass)
    return end, mass


def _on_the_run(f: Callable[[float], float], near: float) -> float | None:
    """The root of the whole simulation near an estimate, the bracket widened as need be."""
    for part in (0.01, 0.1, 0.5):
        low, high = near * (1.0 - part), near * (1.0 + part)
        found = bracketed(f, low, high, 1e-8 * near, most=24)
        if found is not None:
            return found
    return None


def quiet(task: Task) -> Context:
    """The context of a trial: it complains to nobody."""
    return replace(task.ctx, quiet=True)


def _pour_of(task: Task, stock: Stock, mass: float, temperature: float) -> Pour:
    clause = task.clause
    seconds = clause.over.value if isinstance(clause.over, Quantity) else None
    portions = clause.portions if isinstance(clause.portions, int) else None
    below = None if clause.below is None else clause.below.value
    return Pour(stock, clause.what, mass, temperature, seconds, portions, below)


def _unit_of(task: Task) -> str:
    amount = task.clause.amount
    return amount.unit if isinstance(amount, Blank) else ""


def _until_clear(task: Task, pot: Pot, stock: Stock, temperature: float) -> float | None:
    c = pot.contents

    def f(mass: float) -> float:
        new = _after(task, c, stock, mass, c.temperature)
        solids = 0.0 if new.state is None else float(new.state.solids.sum())
        return solids + float((new.dry * task.ctx.chem.soluble).sum()) - 1e-6

    if f(0.0) <= 0.0:
        task.complain("blank without an answer", "it is clear already", "amount")
        return None
    mass = _root(task, pot, f)
    if mass is None:
        task.complain(
            "blank without an answer", f"{stock.name} does not dissolve what is there", "amount"
        )
        return None
    task.answer_mass(mass, stock, "amount", "the last of the solid dissolves", _unit_of(task))
    return mass


def _until_no_gas(task: Task, pot: Pot, stock: Stock, temperature: float) -> float | None:
    c = pot.contents

    def gas(mass: float) -> float:
        new = _after(task, c, stock, mass, c.temperature)
        return 0.0 if new.state is None else float(new.state.gas.sum())

    _, most = _first_guess(task, pot)
    full = max(gas(most * part) for part in (0.002, 0.01, 0.04))
    if full < 1e-6:
        task.complain("blank without an answer", f"{stock.name} drives out no gas here", "amount")
        return None
    mass = _root(task, pot, lambda m: gas(m) - 0.995 * full)
    if mass is None:
        task.complain("blank without an answer", "the gas does not stop", "amount")
        return None
    task.answer_mass(mass, stock, "amount", "99.5 % of the gas has been driven out", _unit_of(task))
    return mass


def _most_below(task: Task, pot: Pot, stock: Stock, temperature: float) -> float | None:
    """The most that can be tipped in at once without passing the limit."""
    below = task.clause.below
    assert below is not None
    ctx, c = task.ctx, pot.contents

    def f(mass: float) -> float:
        matter = stock.matter(ctx.chem, mass, temperature)
        new = at_enthalpy(
            ctx.chem,
            c.wet + matter.wet,
            c.dry + matter.dry,
            c.enthalpy + matter.enthalpy,
            pot.wall,
            c.temperature,
            ctx.pressure,
            c.state,
        )
        return new.temperature - below.value

    mass = _root(task, pot, f)
    if mass is None:
        task.complain(
            "blank without an answer", "no amount of it reaches that temperature", "amount"
        )
        return None
    task.answer_mass(
        mass,
        stock,
        "amount",
        f"more at once would pass {below.value - 273.15:.4g} °C",
        _unit_of(task),
    )
    return mass
