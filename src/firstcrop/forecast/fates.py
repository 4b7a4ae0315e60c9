"""Where the target ended up: every place its scarcest part is found in when the run is over."""

from __future__ import annotations

from collections.abc import Iterator

from firstcrop.bank.practice import load_practice
from firstcrop.forecast.context import Ground
from firstcrop.forecast.crops import LOST, dried_into, dried_liquor
from firstcrop.forecast.theory import Theory
from firstcrop.forecast.world import Cake, World
from firstcrop.liquor.system import Floats

NOT_MADE = "not made"
SLIGHT = 1e-9  # of theory


def fates(
    ground: Ground, world: World, best: Theory | None, loss: float | None = None
) -> dict[str, float]:
    """kg of target by where it is, adding up to theory; empty without a theory.

    What is not target yet counts as the target it could have made, by the part of the target that
    limits the run. What no place holds was not made: a reaction that did not finish.
    """
    if best is None or ground.target is None:
        return {}
    part = load_practice()[LOST].value if loss is None else loss
    found: dict[str, float] = {}
    for where, kg in _places(ground, world, best, part):
        found[where] = found.get(where, 0.0) + kg
    found[NOT_MADE] = best.mass - sum(found.values())
    return {where: kg for where, kg in found.items() if abs(kg) > SLIGHT * best.mass}


def _places(ground: Ground, world: World, best: Theory, loss: float) -> Iterator[tuple[str, float]]:
    for cake in world.cakes.values():
        yield from _of_cake(ground, cake, best, loss if cake.number else 0.0)
    for pot in world.pots.values():
        yield f"in the {pot.name}", _as_target(ground, best, pot.contents.wet, pot.contents.dry)
    books, chem = world.books, ground.chem
    yield "discarded", _as_target(ground, best, books.wet_out, books.dry_out)
    gone = books.gas @ chem.system.gas_nu
    yield "gone as gas", _as_target(ground, best, gone, chem.nothing_dry())


def _of_cake(ground: Ground, cake: Cake, best: Theory, loss: float) -> Iterator[tuple[str, float]]:
    """The target itself, the part of it lost on paper and glass, and what is there otherwise."""
    chem, name = ground.chem, f"crop {cake.number}" if cake.number else f"in the {cake.name}"
    wet = cake.solids @ chem.system.solid_nu + cake.liquor
    whole = _as_target(ground, best, wet, cake.dry)
    own = whole
    if ground.target_solid >= 0:
        row = ground.target_solid
        own = float(cake.solids[row] * chem.system.solid_mass[row])
        own += dried_into(chem, dried_liquor(chem, cake), row) if cake.number else 0.0
    yield name, own * (1.0 - loss)
    yield "lost on paper, funnel and glass", own * loss
    yield f"{name}, in its liquor or another solid", whole - own


def _as_target(ground: Ground, best: Theory, wet: Floats, dry: Floats) -> float:
    """kg of target that the limiting part in `wet` [C] and `dry` [D] stands for."""
    chem, target = ground.chem, ground.target
    if target is None:
        return 0.0
    if not target.components:
        row = chem.dry_index.get(target.key)
        return 0.0 if row is None else float(dry[row]) * target.molar_mass
    i = chem.index[best.limiting]
    held = float(wet[i] + (dry * chem.soluble) @ chem.dry_components[:, i])
    return held / dict(target.components)[best.limiting] * target.molar_mass
