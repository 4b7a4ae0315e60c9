"""Solids that must not be dried hot, or at all."""

from __future__ import annotations

import math

from firstcrop.bank.mixing import load_dryings, mixing_groups
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
    return tuple(c for w in scene.story.warmths if w.verb is Verb.DRY for c in _look(w, target))


def _look(warmth: Warmth, target: str) -> list[Caution]:
    here = set(warmth.contents.masses) | {target}
    hot = any(kind in HOT_MEANS for kind in warmth.means) or warmth.temperature > WARM
    groups = mixing_groups()
    found = []
    if hot:
        found += [
            _caution(warmth, "drying-unstable", row.severity, row.substance, row.why, row.remedy)
            for row in load_dryings()
            if row.substance in here
        ]
    feeding = next(iter(sorted(groups["oxidiser to dry"] & here)), "")
    wetting = next(iter(sorted(groups["flammable solvent"] & here)), "")
    if feeding and wetting:
        why = f"{feeding.capitalize()} feeds fire and {wetting} burns."
        severity = Severity.ERROR if hot else Severity.NOTE
        remedy = "Let the solvent go in open air first, or rinse with cold water."
        found.append(_caution(warmth, "drying-oxidiser", severity, feeding, why, remedy))
    return found


def _caution(
    warmth: Warmth, code: str, severity: Severity, key: str, why: str, remedy: str
) -> Caution:
    told = "" if math.isnan(warmth.temperature) else f" at {warmth.temperature - 273.15:.0f} °C"
    return Caution(
        code=code,
        severity=severity,
        message=f"{key.capitalize()} is dried{told}.",
        why=why,
        source="Bretherick's Handbook, from memory",
        remedy=remedy,
        step=warmth.step,
        place=warmth.place,
        unverified=True,
    )
