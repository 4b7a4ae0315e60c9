"""Volume, mass, enthalpy and heat capacity of a known equilibrium (kernels).

The ions' apparent properties come from binary solutions, one cation with one anion, mixed by
Young's rule with equivalent fractions (Young 1951; Reilly & Wood, J. Phys. Chem. 73 (1969) 4292):
X = N sum_c sum_a E_c E_a phi_ca(u(I)), each binary read at the ionic strength of the mixture.
Neutral solutes are read at their own molality. Water is counted as the bulk table counts it.
"""

from __future__ import annotations

import numpy as np

from firstcrop.liquor.compiled import compiled
from firstcrop.liquor.curves import read, weights
from firstcrop.liquor.equilibrium import TEMPERATURE, WATER, Found
from firstcrop.liquor.pack import Bulk
from firstcrop.liquor.pitzer import WATER_MASS
from firstcrop.liquor.system import Floats

VOLUME, SOLID_VOLUME, MASS, ENTHALPY, HEAT_CAPACITY, GAS_ENTHALPY = range(6)
_T0 = 298.15


@compiled
def _surface(table: Floats, i: int, wu: Floats, j: int, wt: Floats) -> float:
    """A [U, T] table at weights wu (from row i) and wt (from column j)."""
    total = 0.0
    for n in range(min(4, table.shape[0] - i)):
        if wu[n] != 0.0:
            total += wu[n] * read(table[i + n], j, wt)
    return total


@compiled
def bulk_amounts(bulk: Bulk, found: Found) -> tuple[float, Floats]:
    """kg of water and moles of the bulk ions and neutrals [B+M]."""
    kilograms = found.one[WATER]
    water = kilograms / WATER_MASS
    moles = np.zeros(len(bulk.charge))
    for s in range(len(found.mol)):
        n = kilograms * found.mol[s]
        if n != 0.0:
            water += n * bulk.water[s]
            for b in range(len(moles)):
                moles[b] += n * bulk.of_species[s, b]
    return water * WATER_MASS, moles


@compiled
def properties(bulk: Bulk, amounts: Floats, found: Found) -> Floats:
    """[6] liquid volume m3, solid volume m3, mass kg, enthalpy J (gas and solids included), heat
    capacity J/K at frozen composition, enthalpy of the gas alone J.
    """
    out = np.zeros(6)
    t = found.one[TEMPERATURE]
    value, rate = np.empty(4), np.empty(4)
    first = weights(bulk.t_grid, t, value, rate)
    water, moles = bulk_amounts(bulk, found)
    n_water = water / WATER_MASS
    out[VOLUME] = n_water * read(bulk.water_v, first, value)
    out[ENTHALPY] = n_water * read(bulk.water_h, first, value) + np.sum(moles * bulk.h0)
    out[HEAT_CAPACITY] = n_water * read(bulk.water_h, first, rate)
    if water > 0.0:
        _ions(bulk, water, moles, first, value, rate, out)
        _neutrals(bulk, water, moles, first, value, rate, out)
    for k in range(len(found.solid)):
        n = found.solid[k]
        if n > 0.0:
            out[SOLID_VOLUME] += n * bulk.solid[2, k]
            out[ENTHALPY] += n * (bulk.solid[0, k] + bulk.solid[1, k] * (t - _T0))
            out[HEAT_CAPACITY] += n * bulk.solid[1, k]
    for g in range(len(found.gas)):
        n = found.gas[g]
        if n > 0.0:
            out[GAS_ENTHALPY] += n * (bulk.gas[0, g] + bulk.gas[1, g] * (t - _T0))
            out[HEAT_CAPACITY] += n * bulk.gas[1, g]
    out[ENTHALPY] += out[GAS_ENTHALPY]
    out[MASS] = np.sum(amounts * bulk.mass)
    return out


@compiled
def _ions(
    bulk: Bulk, water: float, moles: Floats, first: int, value: Floats, rate: Floats, out: Floats
) -> None:
    cations, anions = bulk.pair_h.shape[0], bulk.pair_h.shape[1]
    equivalents = squares = 0.0
    for b in range(cations + anions):
        equivalents += 0.5 * abs(bulk.charge[b]) * moles[b]
        squares += 0.5 * bulk.charge[b] ** 2 * moles[b]
    if not equivalents > 0.0:
        return
    root = np.sqrt(max(squares / water, 0.0))
    wu, slope = np.empty(4), np.empty(4)
    row = weights(bulk.u_grid, root / (root + 4.0), wu, slope)
    for c in range(cations):
        n_c = bulk.charge[c] * moles[c]
        if n_c == 0.0:
            continue
        for a in range(anions):
            share = -n_c * bulk.charge[cations + a] * moles[cations + a] / equivalents
            if share != 0.0:
                out[VOLUME] += share * _surface(bulk.pair_v[c, a], row, wu, first, value)
                out[ENTHALPY] += share * _surface(bulk.pair_h[c, a], row, wu, first, value)
                out[HEAT_CAPACITY] += share * _surface(bulk.pair_h[c, a], row, wu, first, rate)


@compiled
def _neutrals(
    bulk: Bulk, water: float, moles: Floats, first: int, value: Floats, rate: Floats, out: Floats
) -> None:
    ions = bulk.pair_h.shape[0] + bulk.pair_h.shape[1]
    wu, slope = np.empty(4), np.empty(4)
    for n in range(bulk.neutral_h.shape[0]):
        amount = moles[ions + n]
        if amount == 0.0:
            continue
        root = np.sqrt(max(amount / water, 0.0))
        row = weights(bulk.u_grid, root / (root + 4.0), wu, slope)
        out[VOLUME] += amount * _surface(bulk.neutral_v[n], row, wu, first, value)
        out[ENTHALPY] += amount * _surface(bulk.neutral_h[n], row, wu, first, value)
        out[HEAT_CAPACITY] += amount * _surface(bulk.neutral_h[n], row, wu, first, rate)
