"""Solids that must not be dried hot, or at all."""

from __future__ import annotations

import math

from firstcrop.cautions.scene import Scene
from firstcrop.cautions.story import Warmth
from firstcrop.forecast.records import Caution
from firstcrop.problems import Severity
from firstcrop.sheet.records import Verb

HOT_MEANS = ("oven", "hotplate", "burner", "steam")
WARM = 323.15  # K

# (substance, severity, why, remedy)
UNSTABLE = (
    (
        "silver oxalate",
        "error",
        "It explodes when heated dry.",
        "Keep it moist; do not isolate it.",
    ),
    (
        "tetraamminecopper(II) sulfate monohydrate",
        "note",
        "It loses ammonia in warmth.",
        "Dry it in cool air.",
    ),
    (
        "ammonium dichromate",
        "error",
        "It decomposes with fire when heated.",
        "Dry it in cool air, away from anything that burns.",
    ),
    (
        "ammonium nitrate",
        "error",
        "It decomposes violently when heated, worse with chloride or organic matter.",
        "Do not dry it hot.",
    ),
    (
        "sodium percarbonate",
        "warning",
        "It gives off oxygen and heats itself.",
        "Do not dry it hot.",
    ),
    (
        "potassium tris(oxalato)ferrate(III) trihydrate",
        "note",
        "It loses water when warm and decomposes in light.",
        "Dry it in the dark, in air.",
    ),
    ("potassium permanganate", "warning", "It feeds fire.", "No paper or cloth in a hot oven."),
)
OXIDISERS = (
    "potassium nitrate",
    "sodium nitrate",
    "ammonium nitrate",
    "silver nitrate",
    "potassium permanganate",
    "potassium dichromate",
    "potassium chlorate",
    "sodium chlorate",
    "potassium peroxodisulfate",
    "ammonium peroxodisulfate",
    "barium nitrate",
    "strontium nitrate",
)
SOLVENTS = ("ethanol", "methanol", "acetone", "propan-2-ol", "ethyl acetate", "diethyl ether")


def drying(scene: Scene) -> tuple[Caution, ...]:
    """Unstable solids dried hot; oxidisers dried while wet with a solvent."""
    target = scene.forecast.preparation.target.strip().lower()
    return tuple(c for w in scene.story.warmths if w.verb is Verb.DRY for c in _look(w, target))


def _look(warmth: Warmth, target: str) -> list[Caution]:
    here = set(warmth.contents.masses) | {target}
    hot = any(kind in HOT_MEANS for kind in warmth.means) or warmth.temperature > WARM
    found = []
    if hot:
        found += [
            _caution(warmth, "drying-unstable", Severity(severity), key, why, remedy)
            for key, severity, why, remedy in UNSTABLE
            if key in here
        ]
    feeding = next((key for key in OXIDISERS if key in here), "")
    wetting = next((key for key in SOLVENTS if key in warmth.contents.masses), "")
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
