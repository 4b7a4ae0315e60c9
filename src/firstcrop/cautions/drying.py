"""Solids that must not be dried hot, or at all."""

from __future__ import annotations

import math

from firstcrop.bank.mixing import load_dryings, mixing_groups
from firstcrop.cautions.say import celsius, say
from firstcrop.cautions.scene import Scene
from firstcrop.cautions.story import Warmth
from firstcrop.forecast.records import Caution
from firstcrop.problems import Severity
from firstcrop.sheet.records import Verb

HOT_MEANS = ("oven", "hotplate", "burner", "steam")
WARM = 323.15  # K


def drying(scene: Scene) -> tuple[Caution, ...]:
    """Unstable solids dried hot; oxidisers dried while wet with a solvent."""
    target = scene.forecast.preparation.target.strip().lower()
    return tuple(c for w in scene.story.warmths if w.dry for c in _look(w, target))


def _look(warmth: Warmth, target: str) -> list[Caution]:
    here = set(warmth.contents.masses) | {target}
    hot = (
        warmth.verb is not Verb.DRY
        or any(kind in HOT_MEANS for kind in warmth.means)
        or warmth.temperature > WARM
    )
    groups = mixing_groups()
    found = []
    if hot:
        found += [
            say(
                "drying-unstable",
                warmth.step,
                warmth.place,
                severity=row.severity,
                name=row.substance,
                why=row.why,
                remedy=row.remedy,
                at=_at(warmth),
            )
            for row in load_dryings()
            if row.substance in here
        ]
    feeding = next(iter(sorted(groups["oxidiser to dry"] & here)), "")
    wetting = next(iter(sorted(groups["flammable solvent"] & here)), "")
    if feeding and wetting:
        severity = Severity.ERROR if hot else Severity.NOTE
        found.append(
            say(
                "drying-oxidiser",
                warmth.step,
                warmth.place,
                severity=severity,
                name=feeding,
                solvent=wetting,
                at=_at(warmth),
            )
        )
    return found


def _at(warmth: Warmth) -> str:
    return "" if math.isnan(warmth.temperature) else f" at {celsius(warmth.temperature)}"
