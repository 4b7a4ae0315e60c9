"""Blanks of an addition: how much, in how many portions, over what time."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from firstcrop.bank.practice import load_indicators
from firstcrop.forecast.contents import (
    Contents,
    at_temperature,
    gas_waiting,
    mass_of,
    stirred_in,
    without_gas,
)
from firstcrop.forecast.context import Context
from firstcrop.forecast.pouring import Pour, pour
from firstcrop.forecast.roots import bracketed, first_root
from firstcrop.forecast.spent import spent_on
from firstcrop.forecast.stock import Stock
from firstcrop.forecast.task import Task, drive_of, fresh_log
from firstcrop.forecast.world import Pot
from firstcrop.liquor.state import State
from firstcrop.quantity.records import Quantity
from firstcrop.sheet.records import Blank, EndKind

MOST_TIMES = 50.0  # an addition larger than this many times the contents is no answer
SHORTEST, LONGEST = 1.0, 86400.0  # s
NEUTRAL = 7.0
CLOSE_PH = 0.02  # between the quick scan and the whole simulation


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
    for name, ph in load_indicators().items():
        if name in end.indicator.lower():
            return ph
    task.complain(
        "end not said", "at which pH does this end?", "end", "write `to pH 7` or an indicator"
    )
    return None


def _after(
    task: Task,
    c: Contents,
    stock: Stock,
    mass: float,
    temperature: float,
    guess: State | None = None,
) -> Contents:
    """Equilibrium of the contents with so much of the stock, at a temperature."""
    wet, dry = c.wet + stock.wet * mass, c.dry + stock.dry * mass
    near = guess or c.state
    return at_temperature(task.ctx.chem, wet, dry, temperature, task.ctx.pressure, near)


def _first_guess(task: Task, pot: Pot) -> tuple[float, float]:
    """kg to start looking at, and the most one would add."""
    total = mass_of(task.ctx.chem, pot.contents.wet, pot.contents.dry)
    return max(total, 1e-3) * 0.01, max(total, 1e-3) * MOST_TIMES


def _root(task: Task, pot: Pot, f: Callable[[float], float]) -> float | None:
    first, most = _first_guess(task, pot)
    return first_root(f, first, most, 1e-7)


def _to_ph(task: Task, pot: Pot, stock: Stock, temperature: float, goal: float) -> float | None:
    c = pot.contents
    if c.state is None:
        task.complain("blank without an answer", "there is no liquor to bring to a pH", "amount")
        return None
    began = c.state.ph

    quick = _Titration(task, pot, stock, goal).at
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


@dataclass(slots=True)
class _Titration:
    """Quick equilibria on the way to a pH, without time; remembers what the last turn found."""

    task: Task
    pot: Pot
    stock: Stock
    goal: float
    gassy: bool = False
    near: float = 0.0  # kg, of the last turn; 0: none

    def at(self, temperature: float) -> float | None:
        """kg to the pH at a temperature, in growing helpings from which the gas leaves before
        the next; None when it is never met."""
        c, chem = self.pot.contents, self.task.ctx.chem
        here = at_temperature(chem, c.wet, c.dry, temperature, self.task.ctx.pressure, c.state)
        here = self._vented(here)
        helping, most = _first_guess(self.task, self.pot)
        if self.near and not self.gassy:
            helping = 0.95 * self.near
        added, rising = 0.0, _ph(here) < self.goal
        while added < most:
            new = _after(self.task, here, self.stock, helping, temperature)
            if (_ph(new) < self.goal) != rising:
                root = self._within(here, temperature, helping, new)
                self.near = added + (root or 0.0)
                return None if root is None else self.near
            if new.state is None or not new.state.ok:
                return None
            here = self._vented(new)
            added += helping
            helping = 0.1 * added if self.near and not self.gassy else helping * 1.3
        return None

    def _vented(self, c: Contents) -> Contents:
        gas = gas_waiting(c, self.task.ctx.chem)
        self.gassy = self.gassy or float(gas.sum()) > 1e-9
        return without_gas(c, self.task.ctx.chem, gas)

    def _within(
        self, here: Contents, temperature: float, helping: float, end: Contents
    ) -> float | None:
        last = here

        def f(mass: float) -> float:
            nonlocal last
            new = _after(self.task, here, self.stock, mass, temperature, last.state)
            last = new if new.state is not None and new.state.ok else last
            return _ph(new) - self.goal

        low, high = _ph(here) - self.goal, _ph(end) - self.goal
        return bracketed(f, 0.0, helping, 1e-8 * helping, low, high, close=CLOSE_PH / 30.0)


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
        if abs(_ph(end.contents) - goal) < CLOSE_PH:
            break
        better = quick(end.contents.temperature)
        if better is None or better == mass:
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
        return stirred_in(ctx.chem, c, matter, pot.wall, ctx.pressure).temperature - below.value

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
