"""One solute in water, put together as the bank counts it, for the checks against tables."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from firstcrop.bank.bank import load_bank
from firstcrop.forecast.assemble import assemble_without_solids
from firstcrop.forecast.assemble.matter import gather
from firstcrop.liquor.solve import State, equilibrate
from firstcrop.liquor.system import Floats, System

NO_GAS = 1e8  # Pa: nothing boils off


@dataclass(frozen=True)
class Binary:
    """A mole of solute as component amounts [C], its mass kg/mol, and the system."""

    system: System
    mole: Floats
    mass: float


@cache
def binary(solute: str) -> Binary:
    bank = load_bank()
    row = next(s for s in bank.bulk.values() if s.key == solute)
    parts: dict[str, float] = {}
    for name, count in row.ions:
        inside = bank.species[name].components if name in bank.species else ((name, 1.0),)
        for component, moles in inside:
            parts[component] = parts.get(component, 0.0) + count * moles
    system = assemble_without_solids(bank, frozenset(parts)).system
    mole = np.zeros(len(system.components))
    for component, moles in parts.items():
        mole[system.components.index(component)] += moles
    everything = gather(bank, bank.components)
    return Binary(system, mole, sum(n * everything.mass[k] for k, n in row.ions))


def in_water(solute: str, water: float, temperature: float) -> State:
    """A mole of solute with `water` mol of water."""
    b = binary(solute)
    amounts = b.mole.copy()
    amounts[0] += water
    return equilibrate(b.system, amounts, temperature, NO_GAS)


def at_fraction(solute: str, fraction: float, temperature: float) -> State:
    """A kilogram of solution with this mass fraction of solute."""
    b = binary(solute)
    amounts = b.mole * (fraction / b.mass)
    amounts[0] += (1.0 - fraction) / b.system.component_mass[0]
    return equilibrate(b.system, amounts, temperature, NO_GAS)


def water_enthalpy(solute: str, temperature: float) -> float:
    """J/mol of the system's pure water."""
    system = binary(solute).system
    return float(np.interp(temperature, system.t_grid, system.water_h))
