"""Vessels without a watery liquor: pure liquids side by side, mixed as if they were ideal.

Heat is that of the pure liquids (heats of formation), volume and heat capacity are their sums;
nothing ionises or crystallises. Acid or salt solution in small amount is counted as a liquor of
its own beside them. Enough water makes it a liquor again.
"""

from __future__ import annotations

import math

import numpy as np

from firstcrop.forecast.chemistry import Chemistry
from firstcrop.forecast.kinetics import Declared
from firstcrop.liquor.system import Floats

MOST_WATER = 0.25  # kg/kg of water among the liquids up to which there is no liquor: estimate
MOST_IN_SPIRIT = 0.02  # the same in a liquid that mixes with water: solubilities are known to there
TROUTON = 88.0  # J/(mol K): entropy of boiling of most liquids (Trouton's rule)
GAS_CONSTANT = 8.314462618
ATMOSPHERE = 101325.0
_WATER = 0


def is_neat(chem: Chemistry, wet: Floats, dry: Floats) -> bool:
    """Whether organic liquids leave no room for a watery liquor."""
    masses = dry * chem.dry_mass
    oils, spirits = float(masses @ chem.organic), float(masses @ chem.spirit)
    if oils + spirits <= 0.0:
        return False
    water = float(wet[0] * chem.system.component_mass[0] + masses[_WATER])
    most = MOST_WATER if oils > 0.2 * (oils + spirits) else MOST_IN_SPIRIT
    return water < most * (water + oils + spirits)


def flowing(chem: Chemistry) -> Floats:
    """[D] 1.0 for what runs through a filter: organic liquids, and water among them."""
    flows = np.maximum(chem.organic, chem.spirit)
    flows[_WATER] = 1.0
    return flows


def reactions_in(
    chem: Chemistry, declared: tuple[Declared, ...], wet: Floats, dry: Floats
) -> tuple[Declared, ...]:
    """The declared reactions as they go in a vessel."""
    if not any(d.neat is not None for d in declared) or not is_neat(chem, wet, dry):
        return declared
    return tuple(d if d.neat is None else d.neat for d in declared)


def boiling_point(chem: Chemistry, dry: Floats, pressure: float) -> float:
    """K at which an ideal mixture boils: Raoult's law, vapour pressures from the boiling points by
    Trouton's rule; inf when no boiling point is known."""
    there = (chem.organic + chem.spirit) * dry
    there[_WATER] = dry[_WATER]
    boils = (s.boiling_point for s in chem.dry)
    points = np.array([math.nan if datum is None else datum.value for datum in boils])
    there = np.where(np.isfinite(points), there, 0.0)
    if there.sum() <= 0.0:
        return math.inf
    known = there > 0.0
    share, points = there[known] / there.sum(), points[known]
    low, high = float(points.min()) - 40.0, float(points.max()) + 40.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        vapour = ATMOSPHERE * np.exp(-TROUTON / GAS_CONSTANT * (points / middle - 1.0))
        low, high = (middle, high) if float(share @ vapour) < pressure else (low, middle)
    return 0.5 * (low + high)
