"""Keep: what was separated becomes what the next clause works on."""

from __future__ import annotations

from dataclasses import replace

from firstcrop.forecast.task import Task, find_cake, find_pot
from firstcrop.forecast.world import World


def keep(task: Task) -> World:
    """Keep what a word names: it becomes what the next clause works on."""
    world = task.world
    word = task.clause.what or (task.clause.keep.value if task.clause.keep else "")
    cake = find_cake(task, word)
    if cake is not None:
        if cake.number == 0 and word in ("crystals", "crop", "product", "solid"):
            cake = replace(cake, number=world.crops + 1, kind="crystals")
            world = replace(world.with_cake(cake), crops=world.crops + 1, crystals=cake.name)
            task.findings.cakes[cake.name] = cake
        return replace(world, last_cake=cake.name)
    pot = find_pot(task, word)
    return world if pot is None else world.with_pot(pot)
