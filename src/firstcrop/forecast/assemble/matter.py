"""The solutes and gases that some components can form: which, and their constants as arrays."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from firstcrop.bank.bank import Bank
from firstcrop.bank.records import Component, Datum, Gas, Species, Stoichiometry
from firstcrop.chem.formula import parse_formula
from firstcrop.chem.weights import molar_mass
from firstcrop.liquor.system import Floats
from firstcrop.problems import Problem

ALWAYS = ("H2O", "H+", "Cl-")
WATER_VAPOUR = "H2O(g)"
_LN10 = float(np.log(10.0))


@dataclass(frozen=True, slots=True, eq=False)
class Matter:
    """Components (H2O, H+, then the others in the bank's order) and what forms from them.

    Names are those of `System.species`: components without water, then derived species.
    Per name: charge, mass [kg/mol], formation [J/mol], heat_capacity [J/(mol K)] and
    volume [m3/mol] at infinite dilution.
    """

    components: tuple[Component, ...]
    derived: tuple[Species, ...]
    gases: tuple[Gas, ...]
    names: tuple[str, ...]
    charge: Mapping[str, int]
    mass: Mapping[str, float]
    formation: Mapping[str, float]
    heat_capacity: Mapping[str, float]
    volume: Mapping[str, float]
    estimates: tuple[str, ...]

    @property
    def position(self) -> dict[str, int]:
        """Column of each component."""
        return {c.key: i for i, c in enumerate(self.components)}


def gather(bank: Bank, wanted: Iterable[str]) -> Matter:
    """Everything whose components are all among `wanted` (H2O, H+ and Cl- always are)."""
    present = {*wanted, *ALWAYS}
    rest = [c for key, c in bank.components.items() if key in present and key not in ALWAYS[:2]]
    components = (bank.components["H2O"], bank.components["H+"], *rest)
    derived = tuple(s for s in bank.species.values() if _inside(s.components, present))
    gases = [g for g in bank.gases.values() if _inside(g.components, present)]
    gases.sort(key=lambda g: g.key != WATER_VAPOUR)
    mass = {c.key: _mass(bank, c) for c in components}
    formation = {c.key: c.formation.value for c in components}
    capacity, volume, estimates = _infinite_dilution(components)
    charge = {c.key: c.charge for c in components}
    for s in derived:
        charge[s.key] = s.charge
        mass[s.key] = _sum(s.components, mass)
        formation[s.key] = _species_formation(s, formation)
        capacity[s.key] = _sum(s.components, capacity) + _value(s.heat_capacity)
        volume[s.key] = s.volume.value if s.volume else _sum(s.components, volume)
        estimates += _gaps(s)
    names = tuple(c.key for c in components[1:]) + tuple(s.key for s in derived)
    return Matter(
        components,
        derived,
        tuple(gases),
        names,
        charge,
        mass,
        formation,
        capacity,
        volume,
        tuple(estimates),
    )


def matrix(rows: Iterable[Stoichiometry], position: Mapping[str, int]) -> Floats:
    """Stoichiometries as rows [n, C]."""
    rows = tuple(rows)
    out = np.zeros((len(rows), len(position)))
    for i, row in enumerate(rows):
        for key, count in row:
            out[i, position[key]] += count
    return out


def constants(
    rows: Iterable[tuple[Datum, Datum | None, Datum | None]],
) -> tuple[Floats, Floats, Floats]:
    """ln K at 298.15 K, its enthalpy [J/mol] and heat capacity [J/(mol K)]; absent ones zero."""
    table = np.array([(k.value * _LN10, _value(h), _value(c)) for k, h, c in rows]).reshape(-1, 3)
    return table[:, 0].copy(), table[:, 1].copy(), table[:, 2].copy()


def _inside(stoichiometry: Stoichiometry, present: set[str]) -> bool:
    return all(key in present for key, _ in stoichiometry)


def _sum(stoichiometry: Stoichiometry, values: Mapping[str, float]) -> float:
    return sum(count * values[key] for key, count in stoichiometry)


def _value(datum: Datum | None) -> float:
    return 0.0 if datum is None else datum.value


def _mass(bank: Bank, component: Component) -> float:
    formula = parse_formula(component.formula)
    mass = formula if isinstance(formula, Problem) else molar_mass(formula, bank.weights)
    if isinstance(mass, Problem):
        raise ValueError(f"component {component.key}: {mass.message}")
    return mass[0]


def _species_formation(s: Species, formation: Mapping[str, float]) -> float:
    if s.formation is not None:
        return s.formation.value
    return _sum(s.components, formation) + _value(s.enthalpy)


def _infinite_dilution(
    components: tuple[Component, ...],
) -> tuple[dict[str, float], dict[str, float], list[str]]:
    capacity, volume, estimates = {}, {}, []
    for c in components:
        capacity[c.key] = _value(c.heat_capacity)
        volume[c.key] = _value(c.volume)
        if c.heat_capacity is None:
            estimates.append(f"{c.key}: no heat capacity in solution, taken as zero")
        if c.volume is None:
            estimates.append(f"{c.key}: no volume in solution, taken as zero")
    return capacity, volume, estimates


def _gaps(s: Species) -> list[str]:
    if s.enthalpy is not None or s.formation is not None:
        return []
    return [f"{s.key}: no enthalpy of formation from its components, taken as zero"]
