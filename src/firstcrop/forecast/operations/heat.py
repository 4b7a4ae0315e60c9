"""Heat or cool a vessel to a temperature."""

from __future__ import annotations

from firstcrop.forecast.blanks_time import solve_cooling_goal
from firstcrop.forecast.hull import heating
from firstcrop.forecast.march import Drive, march
from firstcrop.forecast.ramp import ramp
from firstcrop.forecast.task import (
    Task,
    check_limits,
    done,
    drive_of,
    means_of,
    open_pot,
    quantity_value,
    work_on,
)
from firstcrop.forecast.warmth import goal_temperature
from firstcrop.forecast.world import Pot, World
from firstcrop.quantity.records import Kind, Quantity
from firstcrop.sheet.records import Blank


def heat(task: Task) -> World:
    """Heat to the written temperature, or to the boil; time from power, or as written."""
    clause = task.clause
    pot = open_pot(task, clause.into or clause.what)
    work_on(task, pot)
    first = len(task.log.instants)
    goal = clause.to_temperature or clause.at
    if isinstance(goal, Blank):
        task.complain("blank without a bound", "nothing says how hot", "to_temperature")
        return task.world
    drive = Drive(heating(task.ctx, means_of(task)))
    target = goal_temperature(task, pot, goal, "to_temperature")
    if target is None:
        return task.world
    if target < pot.contents.temperature - 0.5:
        task.note(
            "already warmer",
            f"it is already at {pot.contents.temperature - 273.15:.1f} °C",
            "to_temperature",
        )
    pot = ramp(task.ctx, pot, task.log, target, drive, clause.place, _seconds(task, pot, target))
    pot = _then(task, pot)
    check_limits(task, task.log, first)
    return done(task, pot)


def cool(task: Task) -> World:
    """Cool to the written temperature (room temperature if none) in the written bath."""
    clause = task.clause
    pot = open_pot(task, clause.into or clause.what)
    work_on(task, pot)
    first = len(task.log.instants)
    drive = drive_of(task)
    goal = clause.to_temperature or clause.at
    duration = clause.duration
    if goal is None and isinstance(duration, Quantity) and clause.over is None:
        time = quantity_value(task, "duration", duration, "time of cooling")
        pot = march(task.ctx, pot, task.log, time, drive)
        check_limits(task, task.log, first)
        return done(task, pot)
    if isinstance(goal, Blank):
        found = solve_cooling_goal(task, pot)
        if found is None:
            return task.world
        target = found
    elif goal is None:
        target = drive.around.temperature
    else:
        asked = goal_temperature(task, pot, goal, "to_temperature")
        target = drive.around.temperature if asked is None else asked
    seconds = _seconds(task, pot, target)
    pot = ramp(task.ctx, pot, task.log, target, drive, clause.place, seconds)
    pot = _then(task, pot)
    check_limits(task, task.log, first)
    return done(task, pot)


def _seconds(task: Task, pot: Pot, target: float) -> float | None:
    clause = task.clause
    if isinstance(clause.over, Quantity):
        return quantity_value(task, "over", clause.over, "time of heating or cooling")
    if isinstance(clause.rate, Quantity) and clause.rate.kind is Kind.HEATING_RATE:
        return abs(target - pot.contents.temperature) / max(clause.rate.value, 1e-9)
    return None


def _then(task: Task, pot: Pot) -> Pot:
    """`for 30 min` after the temperature is reached."""
    duration = task.clause.duration
    if not isinstance(duration, Quantity):
        return pot
    time = quantity_value(task, "duration", duration, "time kept")
    drive = drive_of(task, pot.contents.temperature)
    return march(task.ctx, pot, task.log, time, drive)
