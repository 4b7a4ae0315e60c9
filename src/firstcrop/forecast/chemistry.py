"""The chemistry of one sheet: the solver's System and the substances that can stand dry in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from firstcrop.bank.practice import load_practice
from firstcrop.bank.records import Substance
from firstcrop.bank.solvents import load_solvents
from firstcrop.chem.formula import parse_formula
from firstcrop.forecast.assemble import Assembled
from firstcrop.forecast.solvents import Cosolvents
from firstcrop.liquor.system import Floats, System
from firstcrop.problems import Problem

T0 = 298.15  # K, where formation enthalpies stand
NO_HEAT = "no heat of formation"


@dataclass(frozen=True, slots=True, eq=False)
class Chemistry:
    """Arrays shared by the whole run. C components, D dry substances (water is dry 0).

    A dry substance with a row of zeros in `dry_components` never enters the liquor.
    """

    system: System
    assembled: Assembled
    index: Mapping[str, int]  # component -> column
    dry: tuple[Substance, ...]
    dry_index: Mapping[str, int]
    dry_components: Floats  # [D, C] mol/mol
    dry_mass: Floats  # [D] kg/mol
    dry_h: Floats  # [D] J/mol at 298.15 K
    dry_cp: Floats  # [D] J/(mol K)
    dry_volume: Floats  # [D] m3/mol
    soluble: Floats  # [D] 1.0 where it enters the liquor
    gaps: Mapping[str, str]  # substance -> what had to be assumed
    organic: Floats  # [D] 1.0 for a liquid that is no solution in water
    spirit: Floats  # [D] 1.0 for a liquid that mixes with water in any proportion (ethanol)
    mix: Cosolvents | None = None  # solvents beside water; None: the sheet has none

    def nothing(self) -> Floats:
        """No wet matter: zeros [C]."""
        return np.zeros(len(self.index))

    def nothing_dry(self) -> Floats:
        """No dry matter: zeros [D]."""
        return np.zeros(len(self.dry))


def component_vector(
    index: Mapping[str, int], stoichiometry: tuple[tuple[str, float], ...]
) -> Floats:
    """A stoichiometry as a row over the components [C]."""
    row = np.zeros(len(index))
    for component, count in stoichiometry:
        row[index[component]] += count
    return row


def build_chemistry(assembled: Assembled, substances: tuple[Substance, ...]) -> Chemistry:
    """Arrays for these substances (the first must be water) over an assembled system."""
    system = assembled.system
    index = {name: i for i, name in enumerate(system.components)}
    rows = np.array([component_vector(index, s.components) for s in substances])
    gaps: dict[str, str] = {}
    heats = [_formation(s, rows[i], system, gaps) for i, s in enumerate(substances)]
    return Chemistry(
        system=system,
        assembled=assembled,
        index=index,
        dry=substances,
        dry_index={s.key: i for i, s in enumerate(substances)},
        dry_components=rows,
        dry_mass=np.array([s.molar_mass for s in substances]),
        dry_h=np.array(heats),
        dry_cp=np.array([_heat_capacity(s, system, gaps) for s in substances]),
        dry_volume=np.array([_molar_volume(s, system, gaps) for s in substances]),
        soluble=np.array([1.0 if s.components else 0.0 for s in substances]),
        gaps=gaps,
        organic=np.array([float(_is_organic(s) and not _is_spirit(s)) for s in substances]),
        spirit=np.array([float(_is_spirit(s)) for s in substances]),
    )


def _is_organic(s: Substance) -> bool:
    read = parse_formula(s.formula) if s.phase == "liquid" else None
    return read is not None and not isinstance(read, Problem) and bool(read.count("C"))


def _is_spirit(s: Substance) -> bool:
    return len(s.components) == 1 and s.components[0][0] in load_solvents()


def dissolved_enthalpy(system: System, row: Floats) -> float:
    """J at 298.15 K of components at infinite dilution; zero row: zero."""
    water = float(np.interp(T0, system.t_grid, system.water_h))
    total = row[0] * water
    for column, count in enumerate(row):
        if column == 0 or not count:
            continue
        share = system.bulk_of_species[column - 1]
        total += count * (float(share @ system.bulk_h0) + system.bulk_water[column - 1] * water)
    return float(total)


def _formation(s: Substance, row: Floats, system: System, gaps: dict[str, str]) -> float:
    if s.formation is not None:
        return s.formation.value
    if not s.components:
        if not _is_element(s.formula):
            gaps[s.key] = f"{NO_HEAT}: its reactions are taken as giving no heat"
        return 0.0
    crystal = _as_crystal(s, system)
    if crystal >= 0:
        gaps[s.key] = "its heat of formation is that of its crystals, from their solubility"
        return float(system.solid_h[crystal])
    gaps[s.key] = f"{NO_HEAT}: it is taken to dissolve without heat"
    return dissolved_enthalpy(system, row)


def _as_crystal(s: Substance, system: System) -> int:
    """The row of the same matter among the solids that may form; -1 when it is none of them."""
    return system.solids.index(s.formula) if s.formula in system.solids else -1


def _is_element(formula: str) -> bool:
    return formula.isalpha() and len(formula) <= 2


def _heat_capacity(s: Substance, system: System, gaps: dict[str, str]) -> float:
    if s.heat_capacity is not None:
        return s.heat_capacity.value
    crystal = _as_crystal(s, system)
    if crystal >= 0:
        return float(system.solid_cp[crystal])
    gaps.setdefault(s.key, "no heat capacity: estimated by Kopp's rule")
    formula = parse_formula(s.formula)
    atoms = 10.0 if isinstance(formula, Problem) else float(sum(n for _, n in formula.elements))
    return load_practice()["kopp_solid"].value * atoms


def _molar_volume(s: Substance, system: System, gaps: dict[str, str]) -> float:
    if s.density is not None:
        return s.molar_mass / s.density.value
    crystal = _as_crystal(s, system)
    if crystal >= 0:
        return float(system.solid_volume[crystal])
    gaps.setdefault(s.key, "no density: 2000 kg/m3 taken for the volume it fills")
    return s.molar_mass / 2000.0
