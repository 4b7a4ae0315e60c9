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
from firstcrop.forecast.pouring import MOST_PORTIONS, Pour, cools_to, peak_since, pour
from firstcrop.forecast.pouring import ready_temperature as ready_for
from firstcrop.forecast.roots import bracketed, grown
from firstcrop.forecast.spent import spent_on
from firstcrop.forecast.stock import Stock
from firstcrop.forecast.task import Task, drive_of, fresh_log
from firstcrop.forecast.world import Pot
from firstcrop.quantity.records import Quantity
from firstcrop.sheet.records import EndKind

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
    task.answer(
        mass,
        "kg",
        "amount",
        "amount",
        f"the pH goes from {began:.2f} to {ph:.2f}",
        stock.name,
        _unit_of(task),
        terms,
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
    better = quick(end.contents.temperature)
    if better is not None and abs(better - mass) > 1e-5 * mass:
        mass = better
        end = run(mass)
    if abs(_ph(end.contents) - goal) > CLOSE_PH:
        found = bracketed(
            lambda m: _ph(run(m).contents) - goal, 0.3 * mass, 1.7 * mass, 1e-4 * mass, most=14
        )
        if found is not None:
            mass = found
            end = run(mass)
    return end, mass


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
    return getattr(amount, "unit", "") or "mL"


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
    task.answer(
        mass,
        "kg",
        "amount",
        "amount",
        "the last of the solid dissolves",
        stock.name,
        _unit_of(task),
    )
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
    task.answer(
        mass,
        "kg",
        "amount",
        "amount",
        "99.5 % of the gas has been driven out",
        stock.name,
        _unit_of(task),
    )
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
    task.answer(
        mass,
        "kg",
        "amount",
        "amount",
        f"more at once would pass {below.value - 273.15:.4g} °C",
        stock.name,
        _unit_of(task),
    )
    return mass


def solve_portions(task: Task, pot: Pot, how: Pour) -> Pour:
    """The fewest equal portions that keep the limit, waiting between them to cool."""
    below = how.below
    where = "portions"
    if below is None:
        task.complain(
            "blank without a bound",
            "nothing says how small a portion must be",
            where,
            "add `keeping below ... °C`",
        )
        return how
    start, drive = pot.contents.temperature, drive_of(task)
    if start >= below:
        task.complain(
            "blank without an answer",
            f"it stands at {start - 273.15:.1f} °C already, the limit is {below - 273.15:.4g} °C",
            where,
            "cool it first",
        )
        return how
    whole = _peak(task, pot, replace(how, portions=1))
    if whole < below:
        _say_portions(task, 1, f"all at once reaches {whole - 273.15:.1f} °C")
        return replace(how, portions=1)
    ready = ready_for(task.ctx, start, below)
    if not cools_to(drive.around, ready):
        task.complain(
            "blank without an answer",
            f"{drive.around.name} at {drive.around.temperature - 273.15:.4g} °C does not cool it "
            "between portions",
            where,
            "name a colder bath",
        )
        return how
    return _fewest(task, pot, how, whole, below, start)


def _fewest(task: Task, pot: Pot, how: Pour, whole: float, below: float, start: float) -> Pour:
    room = max(below - ready_for(task.ctx, start, below), 0.1)
    count = max(2, math.ceil((whole - start) / room))
    count = min(count, MOST_PORTIONS)
    peak = _peak(task, pot, replace(how, portions=count))
    while peak >= below and count < MOST_PORTIONS:
        count += 1
        peak = _peak(task, pot, replace(how, portions=count))
    if peak >= below:
        task.complain(
            "blank without an answer",
            f"even {MOST_PORTIONS} portions reach {peak - 273.15:.1f} °C",
            "portions",
            "name a colder bath, or dilute more",
        )
        return replace(how, portions=count)
    fewer = whole
    while count > 2:
        fewer = _peak(task, pot, replace(how, portions=count - 1))
        if fewer >= below:
            break
        count -= 1
    if count == 2:
        fewer = whole
    said = "at once" if count == 2 else f"in {count - 1} portions"
    _say_portions(task, count, f"{said} it would reach {fewer - 273.15:.1f} °C")
    return replace(how, portions=count)


def _say_portions(task: Task, count: int, bound: str) -> None:
    task.answer(float(count), "1", "portions", "portions", bound, task.clause.what, "")


def _peak(task: Task, pot: Pot, how: Pour) -> float:
    log = fresh_log(task)
    pour(quiet(task), pot, log, how, drive_of(task))
    return peak_since(log, 0)


def solve_duration(task: Task, pot: Pot, how: Pour) -> Pour:
    """The shortest time of addition that keeps the limit."""
    where = "over" if task.clause.over is not None else "rate"
    below = how.below
    if below is None:
        task.complain(
            "blank without a bound",
            "nothing says how fast is too fast",
            where,
            "add `keeping below ... °C`",
        )
        return how

    def f(log_time: float) -> float:
        return _peak(task, pot, replace(how, seconds=math.exp(log_time))) - below

    if f(math.log(SHORTEST)) <= 0.0:
        found = SHORTEST
        bound = "even at once it stays below the limit"
    else:
        root = bracketed(f, math.log(SHORTEST), math.log(LONGEST), 0.01)
        if root is None:
            task.complain(
                "blank without an answer",
                "however slowly it is added the limit is passed",
                where,
                "name a colder bath",
            )
            return how
        found = math.exp(root)
        bound = f"faster, it would pass {below - 273.15:.4g} °C"
    per = how.mass / how.stock.density / found
    if where == "over":
        task.answer(found, "s", "duration", where, bound, how.label)
    else:
        task.answer(per, "m3/s", "rate", where, bound, how.label)
    return replace(how, seconds=found)
