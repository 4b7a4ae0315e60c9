"""The spread of a solvent's effect on solubility, as grounds with it moved to its bounds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from firstcrop.forecast.anchor_curve import Flags
from firstcrop.forecast.context import Ground
from firstcrop.forecast.simulate import Run
from firstcrop.forecast.world import World


@dataclass(frozen=True, slots=True, eq=False)
class SolventMove:
    """Grounds at both 90 % bounds of one solid's fall, and the first step they can touch."""

    label: str
    low: Ground
    high: Ground
    first: int


def solvent_moves(ground: Ground, base: Run) -> Iterator[SolventMove]:
    """One for every crop's main solid whose fall has a spread; none where no solvent was used."""
    mix = ground.chem.mix
    if mix is None:
        return
    came = solvents_in(ground, base.world)
    if not came.any():
        return
    rows = {
        int(np.argmax(cake.solids * ground.chem.system.solid_mass))
        for cake in base.findings.cakes.values()
        if cake.solids.size and cake.solids.max() > 0.0
    }
    for row in sorted(rows):
        if np.any(mix.spread[came, row] > 0.0):
            low, high = (
                replace(ground, chem=replace(ground.chem, mix=mix.moved(row, sign)))
                for sign in (-1.0, 1.0)
            )
            label = f"fall of {ground.chem.system.solids[row]} with the solvent"
            yield SolventMove(label, low, high, _first(ground, base))


def solvents_in(ground: Ground, world: World) -> Flags:
    """Which solvents beside water [V] have come in so far."""
    chem, books = ground.chem, world.books
    if chem.mix is None:
        return np.zeros(0, dtype=np.bool_)
    came = books.wet_in + books.dry_in @ chem.dry_components
    return np.asarray(came[list(chem.mix.columns)] > 0.0)


def _first(ground: Ground, base: Run) -> int:
    """The first step after which some of a solvent has come in."""
    for index, saved in enumerate(base.saved[1:]):
        if solvents_in(ground, saved.world).any():
            return index
    return max(len(base.saved) - 1, 0)
