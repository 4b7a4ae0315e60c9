"""Crops of a run: what each weighs wet and dry, what is in it, where the rest of the target is."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from firstcrop.bank.practice import load_practice
from firstcrop.forecast.chemistry import Chemistry
from firstcrop.forecast.contents import at_temperature, mass_of
from firstcrop.forecast.context import Ground
from firstcrop.forecast.world import Cake
from firstcrop.liquor.system import Floats

LOST = "filter_loss"


@dataclass(frozen=True, slots=True, eq=False)
class Harvest:
    """A crop in kg, with the terms its dry mass is the sum of."""

    cake: Cake
    name: str
    main: int  # row in System.solids, -1: a solid that is no part of the liquor
    wet: float
    dry: float
    composition: tuple[tuple[str, float], ...]
    purity: float
    left: float
    terms: tuple[tuple[str, float, str], ...]


def harvest(ground: Ground, cake: Cake, loss: float | None = None) -> Harvest:
    """Weigh a crop; one not dried is weighed as it will be once its free water is gone."""
    chem = ground.chem
    part = load_practice()[LOST].value if loss is None else loss
    masses = cake.solids * chem.system.solid_mass
    stays = cake.dry * chem.dry_mass
    liquor = dried_liquor(chem, cake)
    solutes = mass_of(chem, liquor, chem.nothing_dry())
    total = float(masses.sum() + stays.sum()) + solutes
    main, name = _principal(chem, masses, stays)
    terms, left = _terms(ground, cake, main, liquor, part)
    wet = cake.wet_mass or float(masses.sum()) + mass_of(chem, cake.liquor, cake.dry)
    grown = dried_into(chem, liquor, main)
    own = float(masses[main]) + grown if main >= 0 else float(stays.max(initial=0.0))
    return Harvest(
        cake=cake,
        name=name,
        main=main,
        wet=wet,
        dry=total * (1.0 - part),
        composition=_composition(
            chem, _with(masses, main, grown), stays, solutes - grown, 1 - part
        ),
        purity=own / total if total > 0.0 else math.nan,
        left=left,
        terms=terms,
    )


def dried_liquor(chem: Chemistry, cake: Cake) -> Floats:
    """What stays [C] of the held liquor when its free water is gone; less nothing once dried."""
    if cake.dried or cake.liquor[0] <= 1e-9:
        return cake.liquor
    c = at_temperature(chem, cake.liquor, chem.nothing_dry(), cake.temperature, 101325.0)
    left = cake.liquor.copy()
    water = c.state.water if c.state is not None and c.state.ok else 0.0
    left[0] -= water / float(chem.system.component_mass[0])
    return left


def dried_into(chem: Chemistry, liquor: Floats, main: int) -> float:
    """kg of the main solid's own matter among the solutes of a dried liquor: a clean salt's liquor
    dries to that salt. Its crystal water is not counted, since all free water is gone."""
    if main < 0:
        return 0.0
    nu = chem.system.solid_nu[main].copy()
    nu[0] = 0.0
    needed = nu > 0.0
    if not needed.any() or bool((nu < 0.0).any()):
        return 0.0
    moles = max(float(np.min(liquor[needed] / nu[needed])), 0.0)
    return moles * float(nu @ chem.system.component_mass)


def _with(masses: Floats, main: int, more: float) -> Floats:
    if main < 0:
        return masses
    found = masses.copy()
    found[main] += more
    return found


def _principal(chem: Chemistry, masses: Floats, stays: Floats) -> tuple[int, str]:
    crystals = float(masses.max(initial=0.0))
    if stays.max(initial=0.0) > crystals:
        return -1, chem.dry[int(np.argmax(stays))].key
    if crystals <= 0.0:
        return -1, "nothing"
    row = int(np.argmax(masses))
    return row, chem.system.solids[row]


def _composition(
    chem: Chemistry, masses: Floats, stays: Floats, solutes: float, kept: float
) -> tuple[tuple[str, float], ...]:
    parts = [(n, float(m) * kept) for n, m in zip(chem.system.solids, masses, strict=True)]
    parts += [(s.key, float(m) * kept) for s, m in zip(chem.dry, stays, strict=True)]
    parts.append(("dried-on solutes", solutes * kept))
    return tuple(sorted(((n, m) for n, m in parts if m > 1e-9), key=lambda p: -p[1]))


def limiting_component(nu: Floats, amounts: Floats) -> int:
    """The component [C] of a solid that runs out first; water and protons are not asked."""
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = np.where(nu > 0.0, amounts / nu, np.inf)
    ratio[:2] = np.inf
    return int(np.argmin(ratio))


def _terms(
    ground: Ground, cake: Cake, main: int, liquor: Floats, loss: float
) -> tuple[tuple[tuple[str, float, str], ...], float]:
    """(label, kg, note) adding up to the dry mass, and kg of the main solid left dissolved."""
    chem = ground.chem
    system = chem.system
    before, left, first = cake.before, cake.left, cake.filtered
    if main < 0 or before is None or left is None or first is None:
        return _plain_terms(chem, cake, liquor, loss), math.nan
    nu, mass = system.solid_nu[main], float(system.solid_mass[main])
    c = limiting_component(nu, before)
    name = system.components[c]
    per = mass / float(nu[c])
    elsewhere = float(first @ system.solid_nu[:, c] - first[main] * nu[c])
    held = float(before[c] - left[c] - first @ system.solid_nu[:, c])
    washed = float(cake.solids[main] - first[main]) * mass
    others = float(cake.solids @ system.solid_mass) - float(cake.solids[main]) * mass
    stays = float(cake.dry @ chem.dry_mass)
    solutes = mass_of(chem, liquor, chem.nothing_dry())
    total = float(cake.solids[main]) * mass + others + stays + solutes
    solid = system.solids[main]
    terms = (
        (f"{solid} in the vessel, dissolved or not", float(before[c]) * per, f"by its {name}"),
        ("left in the liquor", -float(left[c]) * per, f"{name} {float(left[c]):.5g} mol"),
        ("in the liquor held by the crystals", -held * per, ""),
        (f"its {name} in other solids", -elsewhere * per, ""),
        ("dissolved or grown in washing", washed, ""),
        ("other solids", others + stays, ""),
        ("solutes dried on from the held liquor", solutes, ""),
        ("lost on paper, funnel and glass", -total * loss, "common practice, no source"),
    )
    dissolved = np.min(left[2:][nu[2:] > 0.0] / nu[2:][nu[2:] > 0.0]) * mass
    return terms, float(dissolved)


def _plain_terms(
    chem: Chemistry, cake: Cake, liquor: Floats, loss: float
) -> tuple[tuple[str, float, str], ...]:
    crystals = float(cake.solids @ chem.system.solid_mass)
    stays = float(cake.dry @ chem.dry_mass)
    solutes = mass_of(chem, liquor, chem.nothing_dry())
    return (
        ("crystals", crystals, ""),
        ("undissolved matter", stays, ""),
        ("solutes dried on from the held liquor", solutes, ""),
        ("lost on paper, funnel and glass", -(crystals + stays + solutes) * loss, ""),
    )
