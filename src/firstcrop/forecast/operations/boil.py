"""Boil down, and reflux."""

from __future__ import annotations

import math
from dataclasses import replace

from firstcrop.forecast.blanks_time import solve_boil_down, solve_wait
from firstcrop.forecast.contents import mass_of, volume
from firstcrop.forecast.hull import heating
from firstcrop.forecast.march import Drive, march
from firstcrop.forecast.operations.dryness import to_dryness
from firstcrop.forecast.ramp import boil, boiling_point, ramp
from firstcrop.forecast.task import (
    Task,
    done,
    drive_of,
    means_of,
    open_pot,
    quantity_value,
    work_on,
)
from firstcrop.forecast.world import World
from firstcrop.quantity.records import Kind, Quantity
from firstcrop.sheet.records import Blank, EndKind


def boil_down(task: Task) -> World:
    """Boil vapour off to a volume, a mass, for a time, or until crystals appear."""
    clause = task.clause
    pot = open_pot(task, clause.into or clause.what)
    work_on(task, pot)
    drive = Drive(heating(task.ctx, means_of(task)))
    if clause.end is not None and clause.end.kind is EndKind.DRYNESS:
        return to_dryness(task, pot, drive)
    held, chem = pot.contents, task.ctx.chem
    size = _size(task, "to_volume", clause.to_volume, volume(held, chem))
    mass = _size(task, "to_mass", clause.to_mass, mass_of(chem, held.wet, held.dry))
    seconds = _written(task, "duration", clause.duration) or _written(task, "over", clause.over)
    asked = isinstance(clause.to_volume, Blank) or isinstance(clause.to_mass, Blank)
    appear = clause.end is not None and clause.end.kind is EndKind.CRYSTALS_APPEAR
    if asked or appear:
        size = solve_boil_down(task, pot)
        if size is None:
            return task.world
    if size is None and mass is None and seconds is None:
        task.complain("boil down to what", "say to what volume, or for how long")
        return task.world
    pot = boil(task.ctx, pot, task.log, drive, clause.place, size, mass, seconds)
    return done(task, pot)


def _written(task: Task, name: str, quantity: object) -> float | None:
    if not isinstance(quantity, Quantity):
        return None
    return quantity_value(task, name, quantity, f"{name.replace('_', ' ')} of boiling down")


def _size(task: Task, name: str, quantity: object, present: float) -> float | None:
    """What to boil down to: as written, or that part of what is there ("to half")."""
    written = _written(task, name, quantity)
    if written is None or not isinstance(quantity, Quantity):
        return None
    return written * present if quantity.kind is Kind.FRACTION else written


def reflux(task: Task) -> World:
    """Boil with the vapour returning, for the written time."""
    clause = task.clause
    pot = open_pot(task, clause.into or clause.what)
    work_on(task, pot)
    drive = Drive(heating(task.ctx, means_of(task)))
    boiling = boiling_point(task.ctx, pot)
    if not math.isfinite(boiling):
        task.complain("nothing to boil", "there is no liquor to boil")
        return task.world
    target = boiling - 0.05
    pot = ramp(task.ctx, pot, task.log, target, drive, clause.place)
    kept = replace(drive_of(task), hold=pot.contents.temperature, keep_vapour=True)
    seconds = _written(task, "duration", clause.duration) or _written(task, "over", clause.over)
    if seconds is None:
        seconds = solve_wait(task, pot, kept)
    if seconds is not None:
        pot = march(task.ctx, pot, task.log, seconds, kept)
    task.log.boiled = True
    return done(task, pot)
