"""Flammable liquids and hydrogen near something hot."""

from __future__ import annotations

from functools import lru_cache

from firstcrop.bank.hazards import hazards_by_substance
from firstcrop.bank.records import Substance
from firstcrop.cautions.air import gases
from firstcrop.cautions.contents import Contents
from firstcrop.cautions.groups import groups_of
from firstcrop.cautions.say import say
from firstcrop.cautions.scene import Scene
from firstcrop.cautions.story import Warmth
from firstcrop.forecast.records import Caution
from firstcrop.problems import Severity
from firstcrop.sheet.records import Verb

FLAMES = ("burner",)
HOT = ("hotplate", "oven")
FLAMMABLE = ("H224", "H225", "H226")
WATERED = 0.08  # kg/kg in water: ethanol then flashes near 49 °C (flash_points.tsv)


def fire(scene: Scene) -> tuple[Caution, ...]:
    """Flammable liquid heated, dried in an oven, or used in a step with a flame; hydrogen with
    a flame."""
    found: list[Caution] = []
    for warmth in scene.story.warmths:
        found += _liquids(warmth)
    return tuple(found) + _hydrogen(scene)


def _liquids(warmth: Warmth) -> list[Caution]:
    burning = [key for key in warmth.contents.masses if _burns(key, warmth.contents)]
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


def _burns(key: str, contents: Contents) -> bool:
    return _flammable(key, contents.substances.get(key)) and (
        key in contents.held or contents.share(key) >= _least(key)
    )


@lru_cache(maxsize=1024)
def _least(key: str) -> float:
    """kg/kg in water from which it burns: its own limit, else that of ethanol."""
    hazard = hazards_by_substance().get(key)
    own = [lim.low for lim in hazard.limits if lim.code in FLAMMABLE] if hazard else []
    return min(own, default=WATERED)


@lru_cache(maxsize=1024)
def _flammable(key: str, substance: Substance | None) -> bool:
    """By its hazard codes; a liquid the bank does not know, by the words of its name."""
    if substance is not None and substance.phase == "gas":
        return False  # a gas given off is told by its own caution
    hazard = hazards_by_substance().get(key)
    codes = hazard.codes if hazard else substance.hazards if substance else ()
    named = substance is not None and "flammable solvent" in groups_of(substance)
    return named or any(code in codes for code in FLAMMABLE)


def _hydrogen(scene: Scene) -> tuple[Caution, ...]:
    steps = {step.number: step.place for step, gas, _ in gases(scene.forecast) if gas == "H2"}
    steps |= {m.meeting.step: m.meeting.place for m in scene.met if m.pairing.product == "H2"}
    flames = {w.step for w in scene.story.warmths if any(k in FLAMES for k in w.means)}
    return tuple(
        say("hydrogen-flame", n, place) for n, place in sorted(steps.items()) if n in flames
    )
