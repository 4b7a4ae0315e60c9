"""Materials the bank does not know: said aloud, for silence about them would mean nothing."""

from __future__ import annotations

from firstcrop.cautions.groups import groups_of
from firstcrop.cautions.say import say
from firstcrop.cautions.scene import Scene
from firstcrop.forecast.records import Caution
from firstcrop.problems import Severity


def strange(scene: Scene) -> tuple[Caution, ...]:
    """A warning for a material of which nothing is known, a note for one judged by its name."""
    found = []
    for stuff in scene.story.materials.values():
        if not stuff.declared or (stuff.substance is not None and not stuff.guessed):
            continue
        if stuff.substance is None:
            severity, told = Severity.WARNING, "None of its hazards were looked at."
        else:
            groups = ", ".join(sorted(groups_of(stuff.substance)))
            severity, told = Severity.NOTE, f"By its name or formula alone it counts as: {groups}."
        found.append(
            say("unknown-material", 0, stuff.place, severity=severity, name=stuff.name, told=told)
        )
    return tuple(found)
