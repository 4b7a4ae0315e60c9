"""Hold, stand, stir: time passes."""

from __future__ import annotations

from firstcrop.forecast.blanks_time import solve_wait
from firstcrop.forecast.evaporation import about, march_uncovered
from firstcrop.forecast.march import march
from firstcrop.forecast.ramp import ramp
from firstcrop.forecast.task import (
    Task,
    check_limits,
    done,
    drive_of,
    find_cake,
    open_pot,
    quantity_value,
    work_on,
)
from firstcrop.forecast.warmth import goal_temperature
from firstcrop.forecast.world import Pot, World
from firstcrop.quantity.records import Quantity
from firstcrop.sheet.records import Blank, EndKind, Verb

WORTH_SAYING = 0.03  # of the water, lost while it waits uncovered


def hold(task: Task) -> World:
    """Keep the vessel at its temperature (or the written one) for the written time."""
    return _pass_time(task, kept=True)


def stand(task: Task) -> World:
    """Leave the vessel to its surroundings for the written time."""
    return _pass_time(task, kept=False)


def _pass_time(task: Task, kept: bool) -> World:
    clause = task.clause
    if find_cake(task, clause.what) is not None and not clause.into:
        return task.world
    pot = open_pot(task, clause.into or clause.what)
    work_on(task, pot)
    first = len(task.log.instants)
    place = clause.place
    goal = clause.at if isinstance(clause.at, Quantity) else clause.to_temperature
    if isinstance(goal, Quantity):
        target = goal_temperature(task, pot, goal, "at")
        if target is not None:
            pot = ramp(task.ctx, pot, task.log, target, drive_of(task), place)
    kept = kept or isinstance(goal, Quantity)
    drive = drive_of(task, pot.contents.temperature if kept else None)
    seconds = _seconds(task)
    if seconds is None:
        seconds = solve_wait(task, pot, drive)
    if seconds is not None and seconds > 0.0 and "uncovered" in clause.adverbs:
        pot = march_uncovered(task.ctx, pot, task.log, seconds, drive)
    elif seconds is not None:
        _hint(task, pot, seconds)
        pot = march(task.ctx, pot, task.log, seconds, drive)
    check_limits(task, task.log, first)
    return done(task, pot)


def _hint(task: Task, pot: Pot, seconds: float) -> None:
    """Say what an open vessel would lose that is not counted."""
    if task.clause.covered or pot.hull.closed or not pot.hull.described:
        return
    state = pot.contents.state
    lost = about(task.ctx, pot) * seconds
    if state is not None and lost > WORTH_SAYING * state.water:
        task.note(
            "evaporation not counted",
            f"uncovered, {pot.name} would lose about {lost * 1e3:.2g} g of water here; none is "
            "counted unless the step says `uncovered`",
        )


def _seconds(task: Task) -> float | None:
    """s written; 0 for stirring without a time; None when the forecast has to find it."""
    clause = task.clause
    for name, written in (("duration", clause.duration), ("over", clause.over)):
        if isinstance(written, Quantity):
            return quantity_value(task, name, written, "time of waiting")
        if isinstance(written, Blank):
            return None
    if clause.end is not None and clause.end.kind in (
        EndKind.GAS_STOPS,
        EndKind.DISSOLVED,
        EndKind.CLEAR,
        EndKind.CRYSTALS_APPEAR,
    ):
        return None
    if clause.verb is not Verb.STIR:
        task.note("no time given", f"{clause.verb.value}: no time is given, none is counted")
    return 0.0
