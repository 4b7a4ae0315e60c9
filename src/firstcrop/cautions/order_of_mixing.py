"""Water into strong acid, or into a dry heap of something that dissolves with great heat."""

from __future__ import annotations

import math

from firstcrop.bank.mixing import Pouring, load_pourings
from firstcrop.cautions.contents import Contents
from firstcrop.cautions.say import say
from firstcrop.cautions.scene import Scene
from firstcrop.cautions.story import Meeting
from firstcrop.forecast.records import Caution
from firstcrop.sheet.records import Verb

LITTLE = 1.5  # kg water per kg of such a solid below which it comes near boiling by itself
DRY = 0.5  # kg water per kg of the solid, below which it counts as dry


def order_of_mixing(scene: Scene) -> tuple[Caution, ...]:
    """One caution per addition that pours water or a watery liquid onto the strong thing."""
    found = [c for m in scene.story.meetings if m.verb is not Verb.WASH for c in _look(m)]
    return tuple(found)


def _look(meeting: Meeting) -> list[Caution]:
    found = [
        say("little-water", meeting.step, meeting.place, name=row.substance,
            water=f"{meeting.after.water * 1e3:.2g} g", mass=f"{mass * 1e3:.2g} g")
        for row in load_pourings()
        if row.kind == "solid" and (mass := _crowded(meeting, row)) > 0.0
    ]  # fmt: skip
    if not _watery(meeting.added) or meeting.before.empty:
        return found
    for row in load_pourings():
        if row.kind == "acid" and _strong_acid(meeting, row):
            found.append(say("water-into-acid", meeting.step, meeting.place, name=row.substance))
        if row.kind == "solid" and meeting.verb is not Verb.DISSOLVE and _heap(meeting.before, row):
            found.append(say("water-onto-solid", meeting.step, meeting.place, name=row.substance))
    return found


def _crowded(meeting: Meeting, row: Pouring) -> float:
    """kg of the solid, when it is added to so little water that dissolving it may boil; else 0."""
    key, after = row.substance, meeting.after
    if key not in meeting.added.masses or key in after.held or meeting.before.empty:
        return 0.0
    mass = after.masses[key]
    if meeting.added.share(key) < row.start or math.isnan(mass) or math.isnan(after.water):
        return 0.0
    return mass if 0.0 < after.water < LITTLE * mass else 0.0


def _strong_acid(meeting: Meeting, row: Pouring) -> bool:
    """Strong acid stands there, and what is poured on is not that strong acid again."""
    key = row.substance
    return meeting.before.share(key) >= row.start > meeting.added.share(key)


def _watery(added: Contents) -> bool:
    """Holds water, as far as can be told more than a tenth of it."""
    if math.isnan(added.water):
        return True
    total = added.total()
    return added.water > 0.0 and (math.isnan(total) or added.water > 0.1 * total)


def _heap(before: Contents, row: Pouring) -> bool:
    key = row.substance
    if key not in before.masses or key in before.held:
        return False
    mass, water = before.masses[key], before.water
    if before.strongest[key] < row.start or math.isnan(water):
        return False
    return water == 0.0 if math.isnan(mass) else water < DRY * mass
