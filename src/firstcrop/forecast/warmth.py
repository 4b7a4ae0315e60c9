"""Temperatures as written: in degrees, or in words that the vessel or the room decides."""

from __future__ import annotations

import math

from firstcrop.forecast.ramp import boiling_point
from firstcrop.forecast.task import Task, quantity_value
from firstcrop.forecast.world import Pot
from firstcrop.quantity.records import Quantity

UNDER_BOIL = 0.05  # K below the boiling point: at the boil, no vapour leaving


def goal_temperature(task: Task, pot: Pot, goal: Quantity | None, name: str) -> float | None:
    """K to bring a vessel to; "boiling" and None mean its boiling point, "room" the room's
    temperature. None, with a Problem, where nothing is there to boil."""
    if goal is not None and goal.unit == "room":
        return task.ctx.room
    if goal is not None and goal.unit != "boiling":
        return quantity_value(task, name, goal, "temperature to reach")
    boiling = boiling_point(task.ctx, pot)
    if not math.isfinite(boiling):
        task.complain("nothing to boil", "there is no liquor to boil", name)
        return None
    return max(boiling - UNDER_BOIL, pot.contents.temperature)
