"""Blanks of the manner of an addition: in how many portions, over what time."""

from __future__ import annotations

import math
from dataclasses import replace

from firstcrop.forecast.blanks import quiet
from firstcrop.forecast.pouring import (
    MOST_PORTIONS,
    Pour,
    cools_to,
    peak_since,
    pour,
    ready_temperature,
)
from firstcrop.forecast.roots import bracketed
from firstcrop.forecast.task import Task, drive_of, fresh_log
from firstcrop.forecast.world import Pot

SHORTEST, LONGEST = 1.0, 86400.0  # s


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
    ready = ready_temperature(task.ctx, start, below)
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
    room = max(below - ready_temperature(task.ctx, start, below), 0.1)
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
