"""Theory: the most target that what was put in can give, by its limiting reagent."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from firstcrop.forecast.context import Ground
from firstcrop.forecast.world import Books
from firstcrop.liquor.system import Floats


@dataclass(frozen=True, slots=True)
class Theory:
    """kg of target, and the moles it would be by each part that could limit it."""

    mass: float
    moles: float
    limiting: str
    candidates: tuple[tuple[str, float], ...]


def theory(ground: Ground, books: Books) -> Theory | None:
    """None without a target that dissolves, or when nothing of it was put in.

    Declared reactions run one after another as far as they go (acid and base not counted), then
    the scarcest part of the target decides.
    """
    target = ground.target
    if target is None:
        return None
    chem = ground.chem
    wet = books.wet_in + (books.dry_in * chem.soluble) @ chem.dry_components
    dry = books.dry_in * (1.0 - chem.soluble)
    wet, dry = _reacted(ground, wet, dry)
    if not target.components:
        row = chem.dry_index.get(target.key)
        moles = 0.0 if row is None else float(dry[row])
        return _made(ground, moles, target.key, ((target.key, moles),))
    needs = [(chem.index[c], n, c) for c, n in target.components if c not in ("H2O", "H+")]
    candidates = tuple((c, float(wet[i]) / n) for i, n, c in needs if n > 0.0)
    if not candidates:
        return None
    name, moles = min(candidates, key=lambda pair: pair[1])
    return _made(ground, moles, name, candidates)


def _made(
    ground: Ground, moles: float, name: str, candidates: tuple[tuple[str, float], ...]
) -> Theory | None:
    target = ground.target
    if target is None or moles <= 0.0:
        return None
    return Theory(moles * target.molar_mass, moles, name, candidates)


def _reacted(ground: Ground, wet: Floats, dry: Floats) -> tuple[Floats, Floats]:
    for _ in range(2):
        for d in ground.reactions:
            if d.idle:
                continue
            limits = [float(dry[i]) / n for i, n in d.dry_needs]
            limits += [float(wet[i]) / n for i, n in d.wet_needs]
            extent = min(limits, default=0.0)
            if extent > 0.0:
                wet = wet + extent * d.change
                dry = np.maximum(dry + extent * d.dry_change, 0.0)
    return wet, dry
