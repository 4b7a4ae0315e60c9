"""Flammable liquids and hydrogen near something hot."""

from __future__ import annotations

from collections.abc import Mapping

from firstcrop.bank.hazards import Hazard, codes_at, hazards_by_substance
from firstcrop.cautions.air import gases
from firstcrop.cautions.contents import Contents
from firstcrop.cautions.mixing import mixing
from firstcrop.cautions.say import say
from firstcrop.cautions.scene import Scene
from firstcrop.cautions.story import Warmth
from firstcrop.forecast.records import Caution
from firstcrop.problems import Severity
from firstcrop.sheet.records import Verb

FLAMES = ("burner",)
HOT = ("hotplate", "oven")
FLAMMABLE = ("H224", "H225", "H226", "H220")
WATERED = 0.25  # kg/kg of a miscible alcohol or ketone below which the vapour hardly burns


def fire(scene: Scene) -> tuple[Caution, ...]:
    """Flammable liquid heated, dried in an oven, or used in a step with a flame; hydrogen with
    a flame."""
    found: list[Caution] = []
    table = hazards_by_substance()
    for warmth in scene.story.warmths:
        found += _liquids(warmth, table)
    return tuple(found) + _hydrogen(scene)


def _liquids(warmth: Warmth, table: Mapping[str, Hazard]) -> list[Caution]:
    burning = [key for key in warmth.contents.masses if _burns(key, warmth.contents, table)]
    if not burning:
        return []
    flame = any(kind in FLAMES for kind in warmth.means)
    hot = flame or any(kind in HOT for kind in warmth.means)
    silent = not warmth.means and warmth.verb in (Verb.HEAT, Verb.BOIL_DOWN, Verb.REFLUX)
    if not hot and not silent:
        return []
    liquid = " and ".join(burning)
    means = warmth.means[0] if warmth.means else "heat of a kind not named"
    severity = Severity.ERROR if flame else Severity.WARNING
    return [
        say(
            "flammable-liquid",
            warmth.step,
            warmth.place,
            severity=severity,
            name=liquid,
            means=means,
        )
    ]


def _burns(key: str, contents: Contents, table: Mapping[str, Hazard]) -> bool:
    hazard = table.get(key)
    if hazard is None:
        return False
    codes = codes_at(hazard, 1.0)
    if not any(code in codes for code in FLAMMABLE):
        return False
    return key in contents.held or contents.share(key) >= WATERED


def _hydrogen(scene: Scene) -> tuple[Caution, ...]:
    steps = {step.number: step.place for step, gas, _ in gases(scene.forecast) if gas == "H2"}
    makers = ("mixing.metal-acid", "mixing.metal-alkali")
    steps |= {c.step: c.place for c in mixing(scene) if c.code in makers}
    flames = {w.step for w in scene.story.warmths if any(k in FLAMES for k in w.means)}
    return tuple(
        say("hydrogen-flame", n, place) for n, place in sorted(steps.items()) if n in flames
    )
