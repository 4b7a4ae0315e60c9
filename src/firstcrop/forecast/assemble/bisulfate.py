"""What hydrogensulfate needs beside the binary solutions: how much of it sulfuric acid holds, and
what the heats of hydrogensulfate solutions say beyond the heat of its forming.

HSO4- counts in bulk as H+ and SO4-2; the solver adds the heat of the HSO4- there is beyond that in
sulfuric acid of the mixture's ionic strength (liquor/bulk.py). Both follow from the liquor's own
activity model, so that sulfuric acid stays what its tables say.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from firstcrop.bank.bank import Bank
from firstcrop.bank.bulk import Solute
from firstcrop.forecast.anchor_curve import monotone_cubic
from firstcrop.forecast.assemble.binary import T0
from firstcrop.liquor.pitzer import WATER_MASS
from firstcrop.liquor.solve import equilibrate
from firstcrop.liquor.state import State
from firstcrop.liquor.system import Floats, System

BISULFATE = "HSO4-"
_IONS = ("H+", "SO4-2")
_CLOSED = 1e9  # Pa: nothing leaves as gas
_EVERY_U, _EVERY_T = 2, 6  # nodes of the grid that are solved; between them the share is smooth
_STRENGTH = 3.0  # ionic strength of 1 mol/kg H2SO4, or of a hydrogensulfate of one charge, counted
_STRONGEST = 60.0  # mol/kg; beyond it the share is taken as it is there


def with_bisulfate(system: System, bank: Bank, volume: float) -> System:
    """The same chemistry, its hydrogensulfate counted; `volume` m3/mol of its forming.

    Unchanged where there is no hydrogensulfate, or it counts otherwise.
    """
    if BISULFATE not in system.species or BISULFATE in system.bulk:
        return system
    row = system.species.index(BISULFATE)
    columns = [system.bulk.index(key) for key in _IONS]
    cations = [key for key, z in zip(system.bulk, system.bulk_charge, strict=True) if z > 0]
    found = replace(
        system,
        bisulfate=np.array([row, *columns], dtype=np.int64),
        bisulfate_v=volume,
        acid_share=_acid_share(system, row),
        bisulfate_h=np.zeros((len(cations), len(system.u_grid))),
    )
    heats = [_beside(found, bank.bulk.get((key, BISULFATE))) for key in cations]
    return replace(found, bisulfate_h=np.array(heats))


def _acid_share(system: System, row: int) -> Floats:
    """[U, T] mol of HSO4- a mole of H2SO4, in sulfuric acid alone."""
    u = system.u_grid[::_EVERY_U]
    t = system.t_grid[::_EVERY_T]
    strength = (4.0 * u / (1.0 - u)) ** 2 / _STRENGTH
    share = np.zeros((len(u), len(t)))
    for k, temperature in enumerate(t):
        state = None
        for n, molality in enumerate(np.minimum(strength, _STRONGEST)):
            if molality > 0.0:
                state = _solution(system, {"H+": 2.0, "SO4-2": 1.0}, molality, temperature, state)
                share[n, k] = state.molalities[row] * state.water / molality
    by_u = np.array([monotone_cubic(u, column, system.u_grid) for column in share.T]).T
    return np.array([monotone_cubic(t, line, system.t_grid) for line in by_u])


def _beside(system: System, solute: Solute | None) -> Floats:
    """[U] J/mol of HSO4-, from the heats of formation of one hydrogensulfate's solutions.

    The most dilute row is ions and the heat of dissociation only: what the others differ from it
    counts, so that the basis of the series (the solid's heat of formation) does not matter.
    """
    flat = np.zeros(len(system.u_grid))
    if solute is None or not solute.dilution:
        return flat
    ions = dict(solute.ions)
    whole = {**{k: n for k, n in ions.items() if k != BISULFATE}, **dict.fromkeys(_IONS, 1.0)}
    water = float(np.interp(T0, system.t_grid, system.water_h)) / WATER_MASS
    u, gap, part = [], [], []
    for step in sorted(solute.dilution, key=lambda d: -d.water):
        molality = 1.0 / (step.water * WATER_MASS)
        state = _solution(system, whole, molality, T0, None)
        own = (state.enthalpy - water) / molality
        root = np.sqrt(_STRENGTH * molality)
        u.append(root / (root + 4.0))
        gap.append(step.formation.value - own)
        part.append(state.molalities[system.bisulfate[0]] * state.water / molality / 2.0)
    beside = (np.array(gap) - gap[0]) / np.array(part)
    return np.asarray(monotone_cubic(np.array([0.0, *u]), np.array([0.0, *beside]), system.u_grid))


def _solution(
    system: System,
    solute: dict[str, float],
    molality: float,
    temperature: float,
    guess: State | None,
) -> State:
    amounts = np.zeros(len(system.components))
    amounts[0] = 1.0 / WATER_MASS
    for key, count in solute.items():
        amounts[system.components.index(key)] += count * molality
    return equilibrate(system, amounts, float(temperature), _CLOSED, guess)
