"""The solids of a system, their K(T) anchored to published solubility."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from firstcrop.bank.bank import Bank
from firstcrop.bank.records import Datum, Solid
from firstcrop.chem.formula import parse_formula
from firstcrop.forecast.anchor import Anchored, anchor
from firstcrop.forecast.assemble.matter import Matter, matrix
from firstcrop.liquor.system import Floats, System
from firstcrop.problems import Problem

_KOPP = 26.0  # J/(mol K) an atom; Dulong & Petit's 3R, common practice
_DENSITY = 2000.0  # kg/m3, a usual salt; common practice


def solids_of(bank: Bank, matter: Matter) -> tuple[Solid, ...]:
    """Every solid of the bank made of these components only."""
    present = {c.key for c in matter.components}
    return tuple(s for s in bank.solids.values() if all(key in present for key, _ in s.components))


def with_solids(
    system: System, bank: Bank, matter: Matter
) -> tuple[System, dict[str, tuple[Datum, ...]], list[str], tuple[Problem, ...]]:
    """The system with its solids; what they rest on, what was estimated, what failed."""
    asked = solids_of(bank, matter)
    anchored = anchor(system, asked, matter.components)
    keep = [n for n in range(len(asked)) if np.any(np.isfinite(anchored.lnk[n]))]
    solids = [asked[n] for n in keep]
    nu = matrix((s.components for s in solids), matter.position)
    mass = nu @ system.component_mass
    estimates = [note for n in keep for note in anchored.notes[n]]
    full = replace(
        system,
        solids=tuple(s.key for s in solids),
        solid_nu=nu,
        solid_lnk=anchored.lnk[keep],
        solid_h=_formation(solids, keep, anchored, nu, matter, estimates),
        solid_cp=_heat_capacity(bank, solids, nu, estimates),
        solid_volume=_volume(bank, solids, mass, estimates),
        solid_mass=mass,
    )
    rests = {asked[n].key: anchored.data[n] for n in keep}
    return full, rests, estimates, anchored.problems


def _formation(
    solids: list[Solid],
    keep: list[int],
    anchored: Anchored,
    nu: Floats,
    matter: Matter,
    estimates: list[str],
) -> Floats:
    dissolved = nu @ np.array([matter.formation[c.key] for c in matter.components])
    out = np.empty(len(solids))
    for k, (solid, n) in enumerate(zip(solids, keep, strict=True)):
        if solid.formation is not None:
            out[k] = solid.formation.value
            continue
        heat = anchored.heat[n]
        out[k] = dissolved[k] - (heat if np.isfinite(heat) else 0.0)
        estimates.append(f"{solid.key}: heat of formation from the slope of its solubility")
    return out


def _heat_capacity(bank: Bank, solids: list[Solid], nu: Floats, estimates: list[str]) -> Floats:
    out = np.empty(len(solids))
    for k, solid in enumerate(solids):
        substance = bank.substances.get(solid.substance)
        known = solid.heat_capacity or (substance.heat_capacity if substance else None)
        if known is None:
            out[k] = _KOPP * _atoms(bank, solid)
            estimates.append(f"{solid.key}: heat capacity of 3R an atom")
        else:
            out[k] = known.value
    return out


def _volume(bank: Bank, solids: list[Solid], mass: Floats, estimates: list[str]) -> Floats:
    out = np.empty(len(solids))
    for k, solid in enumerate(solids):
        substance = bank.substances.get(solid.substance)
        known = solid.density or (substance.density if substance else None)
        out[k] = mass[k] / (known.value if known else _DENSITY)
        if known is None:
            estimates.append(f"{solid.key}: density 2 g/cm3 taken")
    return out


def _atoms(bank: Bank, solid: Solid) -> float:
    formula = parse_formula(solid.key.split(" (", maxsplit=1)[0])
    if isinstance(formula, Problem):
        raise ValueError(f"{solid.key}: {formula.message}")
    return float(sum(count for _, count in formula.elements))
