"""The list of cautions, and the one call that runs them. A new caution is a file and a line."""

from __future__ import annotations

import math
from collections.abc import Iterator

from firstcrop.bank.hazards import hazards_by_substance
from firstcrop.bank.lookup import Named
from firstcrop.cautions.actual import actual
from firstcrop.cautions.closed import closed
from firstcrop.cautions.drying import drying
from firstcrop.cautions.failure import failure
from firstcrop.cautions.fire import fire
from firstcrop.cautions.fullness import fullness
from firstcrop.cautions.gas_given_off import gas_given_off
from firstcrop.cautions.handling import handling
from firstcrop.cautions.law import law
from firstcrop.cautions.matrix import matrix
from firstcrop.cautions.mixing import mixing
from firstcrop.cautions.order_of_mixing import order_of_mixing
from firstcrop.cautions.scene import Rule, Scene, scene_of
from firstcrop.cautions.screen import screen
from firstcrop.cautions.strange import strange
from firstcrop.cautions.temperature import temperature
from firstcrop.cautions.vapours import vapours
from firstcrop.forecast.records import Caution, Forecast
from firstcrop.problems import Severity

CAUTIONS: tuple[Rule, ...] = (
    order_of_mixing,
    mixing,
    actual,
    matrix,
    gas_given_off,
    vapours,
    closed,
    fullness,
    temperature,
    failure,
    fire,
    drying,
    screen,
    strange,
    handling,
    law,
)
STANDING = (
    "These cautions see only what the sheet says and what the bank knows; silence is no promise "
    "of safety.",
    "They do not replace local rules, the supplier's safety data sheet, or competent supervision.",
)
_ORDER = (Severity.ERROR, Severity.WARNING, Severity.NOTE)


def assess(forecast: Forecast, bank: Named) -> tuple[tuple[Caution, ...], tuple[str, ...]]:
    """Every caution, gravest first and then in step order, and what was not assessed."""
    scene = scene_of(forecast, bank)
    return cautions_of(scene), not_assessed(scene)


def cautions_of(scene: Scene) -> tuple[Caution, ...]:
    """Every caution of a scene, gravest first and then in step order."""
    found = [caution for rule in CAUTIONS for caution in rule(scene)]
    found.sort(key=lambda c: (_ORDER.index(c.severity), c.step, c.code))
    return tuple(dict.fromkeys(found))


def not_assessed(scene: Scene) -> tuple[str, ...]:
    """Sentences: which materials the bank does not know or holds no hazard data for; and the
    standing ones."""
    known = hazards_by_substance()
    stuffs = tuple(scene.story.materials.values())
    strange = sorted({s.name for s in stuffs if not s.key and s.declared})
    guessed = sorted({s.name for s in stuffs if s.guessed and s.declared})
    bare = sorted(
        {
            s.key
            for s in stuffs
            if s.substance and not s.guessed and s.key not in known and not s.substance.hazards
        }
    )
    open_ = sorted({s.name for s in stuffs if s.key and not s.guessed and s.fraction != s.fraction})
    found = []
    if strange:
        found.append(f"Not known to the bank, so nothing was checked: {', '.join(strange)}.")
    if guessed:
        found.append(f"Not known to the bank, judged by the name alone: {', '.join(guessed)}.")
    if bare:
        found.append(f"No hazard data in the bank: {', '.join(bare)}.")
    if open_:
        found.append(f"Strength not known, taken as the strongest there is: {', '.join(open_)}.")
    return (*found, *_not_computed(scene.forecast), *STANDING)


def _not_computed(forecast: Forecast) -> Iterator[str]:
    """Steps whose heat, gas and volume no caution could look at."""
    if not forecast.steps:
        if forecast.preparation.steps:
            yield "Nothing was computed: heat, gas, volume and pH are not assessed."
        return
    lines = {p.line for p in forecast.problems if p.severity is Severity.ERROR}
    steps = forecast.steps
    bad = [str(s.number) for s in steps if s.place.line in lines]
    if bad:
        yield f"Not computed whole: step {', '.join(bad)}; heat, gas and pH there are not assessed."
    if any(math.isnan(p.heat) for s in steps for i in s.inside for p in i.pending):
        yield "The heat of a declared reaction is not known: its failure is not assessed."
    if any(i.pending for s in steps for i in s.inside):
        yield "Decomposition temperatures are not known: criticality is told without them."
