"""The liquor's actual contents, as the forecast has them, tested for pairs the sheet's names did
not show: what a declared reaction made, what was carried over, what an acid set free."""

from __future__ import annotations

from collections.abc import Iterator

from firstcrop.bank.mixing import load_gas_hazards
from firstcrop.cautions.groups import component_groups, groups_of
from firstcrop.cautions.pairs import possible
from firstcrop.cautions.say import say
from firstcrop.cautions.scene import Scene, softer
from firstcrop.cautions.stuff import identify
from firstcrop.forecast.records import Caution, StepForecast

PRESENT = 1e-3  # mol/kg of liquor
AMOUNT = 1e-4  # mol
SOUR, CAUSTIC = 4.5, 12.5  # pH
UNSEEN = ("OH-", "H+", "H2O")


def actual(scene: Scene) -> tuple[Caution, ...]:
    """One caution per pairing that no meeting showed, at the first step whose liquor holds it."""
    told = {m.pairing.key for m in scene.met}
    found: dict[str, Caution] = {}
    for step in scene.forecast.steps:
        here = dict(_groups(step, scene))
        for pairing in possible(frozenset(here)):
            if pairing.key in told or pairing.key in found or pairing.a_min or pairing.b_min:
                continue
            a, b = here[pairing.a], here[pairing.b]
            if a == b or pairing.product not in load_gas_hazards():
                continue
            found[pairing.key] = say(
                "mixing",
                step.number,
                step.place,
                code=f"mixing.{pairing.key}",
                severity=softer(pairing.severity),
                unverified=True,
                a=a,
                b=b,
                where=" in the liquor as computed",
                why=pairing.message,
                source=pairing.source,
                remedy=pairing.remedy,
            )
    return tuple(found.values())


def _groups(step: StepForecast, scene: Scene) -> Iterator[tuple[str, str]]:
    """(group, what stands for it) of a step's liquor and dry matter at its end."""
    if not step.inside:
        return
    inside = step.inside[-1]
    least = max(AMOUNT, PRESENT * inside.liquor_mass)
    for component, amount in inside.liquor.items:
        if amount > least and component not in UNSEEN:
            for group in component_groups(component):
                yield group, component
    for key, amount in inside.dry.items:
        substance = identify(scene.bank, key)[1] if amount > AMOUNT else None
        for group in groups_of(substance) if substance else ():
            yield group, key
    if step.end.ph < SOUR:
        yield "acid", f"acid (pH {step.end.ph:.1f})"
    if step.end.ph > CAUSTIC:
        yield "caustic", f"alkali (pH {step.end.ph:.1f})"
