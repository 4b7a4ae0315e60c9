"""Declared reactions: what they use and make, how far they can go, how fast.

Only changes of component totals and of dry substances are moved here; what the solution does by
itself (acids and bases, precipitation, complexes) is the equilibrium's work, and a declared
reaction that does no more than that has a change of zero and is left to it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from firstcrop.liquor.state import State
from firstcrop.liquor.system import Floats, System
from firstcrop.sheet.records import Reaction

GAS_CONSTANT = 8.31446  # J/(mol K)
NEUTRAL = 7.0  # pH to which acid and base count as available
SMALL = 1e-15  # mol


@dataclass(frozen=True, slots=True, eq=False)
class Declared:
    """A reaction in the run's own arrays, per mole of reaction as written."""

    reaction: Reaction
    label: str
    change: Floats  # [C] mol, net
    dry_change: Floats  # [D] mol, net
    dry_needs: tuple[tuple[int, float], ...]
    wet_needs: tuple[tuple[int, float], ...]  # components that the reaction uses up
    needs_acid: float
    needs_base: float
    heat: float  # J per mole of reaction, dissolved ions at infinite dilution; NaN unknown
    neat: Declared | None = None  # the same among pure liquids, where there is no liquor

    @property
    def idle(self) -> bool:
        """Whether the equilibrium does all of it."""
        return not (np.any(np.abs(self.change) > 1e-9) or np.any(np.abs(self.dry_change) > 1e-9))


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a reaction has gone, and what it had when it began (second order)."""

    done: float = 0.0  # mol of reaction
    start: float = 0.0


def proton_excess(system: System) -> Floats:
    """Protons a mole of each species [S] holds beyond its form at pH 7.

    Positive: an acid that can be spent; negative: a base. Hydroxo complexes of metals count
    zero: they are products, not reagents.
    """
    resting = _resting_protons(system)
    metal = (system.component_charge > 0) & np.array(
        [c not in ("H+", "NH4+") for c in system.components]
    )
    excess = np.zeros(len(system.species))
    for s in range(len(system.species)):
        row = system.nu[s]
        if not np.any(row[metal]):
            others = row.copy()
            others[:2] = 0.0
            excess[s] = row[1] - float(others @ resting)
    return excess


def _resting_protons(system: System) -> Floats:
    resting = np.zeros(len(system.components))
    best = np.full(len(system.components), -np.inf)
    for s in range(len(system.species)):
        row = system.nu[s]
        owners = [c for c in range(2, len(row)) if row[c]]
        if len(owners) != 1 or row[owners[0]] != 1.0:
            continue
        stability = system.k0[s] / math.log(10.0) - NEUTRAL * row[1]
        if stability > best[owners[0]]:
            best[owners[0]] = stability
            resting[owners[0]] = row[1]
    return resting


def reach(d: Declared, wet: Floats, dry: Floats, state: State | None, excess: Floats) -> float:
    """Mole of reaction that what is there still allows."""
    limit = math.inf
    for index, count in d.dry_needs:
        limit = min(limit, float(dry[index]) / count)
    for index, count in d.wet_needs:
        limit = min(limit, float(wet[index]) / count)
    if (d.needs_acid or d.needs_base) and state is not None:
        spare = excess * state.molalities * state.water
        if d.needs_acid:
            limit = min(limit, float(spare[spare > 0.0].sum()) / d.needs_acid)
        if d.needs_base:
            limit = min(limit, float(-spare[spare < 0.0].sum()) / d.needs_base)
    return max(limit, 0.0) if math.isfinite(limit) else 0.0


def rate_constant(d: Declared, temperature: float, half_life: float) -> float:
    """1/s: ln 2 (first order) or 1 (second order, of the starting concentration) a half-life."""
    rate = d.reaction.rate
    base = (math.log(2.0) if rate.order == 1 else 1.0) / half_life
    reference = rate.at.value if rate.at is not None else temperature
    if rate.doubles_every is not None:
        return float(base * 2.0 ** ((temperature - reference) / rate.doubles_every.value))
    if rate.activation_energy is not None:
        slope = rate.activation_energy.value / GAS_CONSTANT
        return base * math.exp(-slope * (1.0 / temperature - 1.0 / reference))
    return base


def advance(
    d: Declared,
    progress: Progress,
    possible: float,
    constant: float,
    duration: float,
    extent: float,
) -> tuple[float, Progress]:
    """Mole of reaction in `duration` s, and the new progress. `possible` is what is left of it."""
    if possible <= SMALL:
        return 0.0, progress
    allowed = extent * (progress.done + possible) - progress.done
    allowed = min(max(allowed, 0.0), possible)
    if allowed <= 0.0:
        return 0.0, progress
    order = d.reaction.rate.order
    start = max(progress.start, progress.done + possible)
    if order == 0:
        step = allowed
    elif order == 1:
        step = allowed * -math.expm1(-constant * duration)
    else:
        step = allowed - allowed / (1.0 + constant * duration * allowed / start)
    return step, Progress(progress.done + step, start)
