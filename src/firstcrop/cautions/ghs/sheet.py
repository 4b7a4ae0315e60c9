"""The bottles, liquors and crops of a sheet as mixtures, and their labels."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache

from firstcrop.bank.ghs import carrier_of
from firstcrop.bank.lookup import Named, substance_named
from firstcrop.bank.records import Substance
from firstcrop.cautions.ghs.ingredient import Ingredient, ingredient, unknown
from firstcrop.cautions.ghs.label import label
from firstcrop.cautions.records import Label
from firstcrop.cautions.scene import Scene
from firstcrop.cautions.stuff import Stuff, stuff_of
from firstcrop.forecast.records import Bottle, Crop, Forecast, StepForecast

TRACE = 1e-4  # kg/kg of a liquor that is left out
SOLID_FORM, LIQUID_FORM = "dust", "vapour"


def labels(scene: Scene) -> tuple[Label, ...]:
    """Of every material, of the liquor in every vessel as it stands at the end, of every crop."""
    bottles = [bottle(stuff) for stuff in scene.story.materials.values() if stuff.declared]
    liquors = [liquor(step, scene.bank) for step in last_liquors(scene.forecast)]
    crops = [crop_label(crop, scene) for crop in scene.forecast.crops]
    return (*bottles, *liquors, *crops)


@lru_cache(maxsize=1024)
def bottle(stuff: Stuff) -> Label:
    """A material as it stands on the shelf; a strength nobody knows counts as the pure thing."""
    if stuff.substance is None or stuff.guessed:
        return label(stuff.name, "bottle", (unknown(stuff.name, 1.0),))
    share = stuff.strongest
    parts = [ingredient(stuff.substance, share)]
    if share < 1.0 and not stuff.rest:
        parts.append(unknown(f"the rest of {stuff.name}", 1.0 - share))
    wet = stuff.rest or stuff.substance.phase == "liquid"
    gas = stuff.substance.phase == "gas" and not stuff.rest
    form = "gas" if gas else LIQUID_FORM if wet else SOLID_FORM
    return label(stuff.name, "bottle", tuple(parts), math.nan, form)


def shelf_label(one: Bottle, bank: Named) -> Label:
    """The label of a bottle on the shelf; a strength nobody knows counts as the strongest."""
    return bottle(stuff_of(one.key, one.substance, one.strength, bank))


def last_liquors(forecast: Forecast) -> tuple[StepForecast, ...]:
    """The last step that left a liquor in each vessel."""
    last = {step.vessel: step for step in forecast.steps if step.inside}
    return tuple(step for step in last.values() if step.inside[-1].liquor.items)


def liquor(step: StepForecast, bank: Named) -> Label:
    """What stands in the vessel at the end of a step, by its components and its pH."""
    parts = tuple(_carried(step, bank))
    name = f"liquor in the {step.vessel}"
    return label(name, "liquor", parts, step.end.ph, LIQUID_FORM, step.number)


def _carried(step: StepForecast, bank: Named) -> Iterator[Ingredient]:
    """Each component as the substance that carries its hazard, kg/kg of liquor."""
    inside = step.inside[-1]
    if not inside.liquor_mass > 0.0:
        return
    for component, amount in inside.liquor.items:
        if component in ("H2O", "H+"):
            continue
        carrier = substance_named(bank, carrier_of(component, step.end.ph))
        if carrier is None:
            yield unknown(component, TRACE)
            continue
        count = dict(carrier.components).get(component, 1.0)
        share = min(amount / count * carrier.molar_mass / inside.liquor_mass, 1.0)
        if share > TRACE:
            yield ingredient(carrier, share)


def crop_label(crop: Crop, scene: Scene) -> Label:
    """A crop by what it is made of, dry."""
    whole = sum(mass for _, mass in crop.composition)
    parts = []
    for name, mass in crop.composition:
        share = mass / whole if whole > 0.0 else 0.0
        substance = _solid(name, scene.bank)
        if share > TRACE:
            parts.append(ingredient(substance, share) if substance else unknown(name, share))
    return label(crop.name, "crop", tuple(parts), math.nan, SOLID_FORM, crop.step)


def _solid(name: str, bank: Named) -> Substance | None:
    """The substance a solid's name stands for: by formula or by name."""
    solids = getattr(bank, "solids", {})
    solid = solids.get(name) if hasattr(solids, "get") else None
    return substance_named(bank, solid.substance if solid else name)
