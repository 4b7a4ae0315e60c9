"""Volume, mass, enthalpy and heat capacity of a known equilibrium (kernels).

The ions' apparent properties come from binary solutions, one cation with one anion, mixed by
Young's rule with equivalent fractions (Young 1951; Reilly & Wood, J. Phys. Chem. 73 (1969) 4292):
X = N sum_c sum_a E_c E_a phi_ca(u(I)), each binary read at the ionic strength of the mixture.
Neutral solutes are read at their own molality. Water is counted as the bulk table counts it.

HSO4- counts as H+ and SO4-2, so that sulfuric acid and sulfates are what their tables say. What
hydrogensulfate there is beyond that in the sulfuric acid so counted (none in either binary, most
of it in NaHSO4) adds the heat and volume of its forming, and what the heats of hydrogensulfate
solutions say beside.
"""

from __future__ import annotations

import numpy as np

from firstcrop.liquor.compiled import compiled
from firstcrop.liquor.curves import read, weights
from firstcrop.liquor.found import (
    ENTHALPY,
    GAS_ENTHALPY,
    HEAT_CAPACITY,
    MASS,
    SOLID_VOLUME,
    TEMPERATURE,
    VOLUME,
    WATER,
    Found,
)
from firstcrop.liquor.pack import Bulk
from firstcrop.liquor.pitzer import WATER_MASS
from firstcrop.liquor.system import Floats

_T0 = 298.15


@compiled
def _add(
    volume: Floats,
    heat: Floats,
    base: int,
    stride: int,
    wu: Floats,
    wt: Floats,
    rate: Floats,
    share: float,
    out: Floats,
) -> None:
    """Add `share` mol (or equivalents) read from flattened [.., U, T] tables: from node `base`
    on, `stride` nodes of temperature a row, weights wu x wt; slopes by temperature: wu x rate.
    """
    v = h = cp = 0.0
    for n in range(4):
        if wu[n] != 0.0:
            here = base + n * stride
            for k in range(4):
                if wt[k] != 0.0 or rate[k] != 0.0:
                    v += wu[n] * wt[k] * volume[here + k]
                    h += wu[n] * wt[k] * heat[here + k]
                    cp += wu[n] * rate[k] * heat[here + k]
    out[VOLUME] += share * v
    out[ENTHALPY] += share * h
    out[HEAT_CAPACITY] += share * cp


@compiled
def bulk_amounts(bulk: Bulk, found: Found) -> tuple[float, Floats]:
    """kg of water and moles of the bulk ions and neutrals [B+M]."""
    kilograms = found.one[WATER]
    water = kilograms / WATER_MASS
    moles = np.zeros(len(bulk.charge))
    mol, extra, counted = found.mol, bulk.water, bulk.of_species
    for s in range(len(mol)):
        n = kilograms * mol[s]
        if n != 0.0:
            water += n * extra[s]
            for b in range(len(moles)):
                moles[b] += n * counted[s, b]
    return water * WATER_MASS, moles


@compiled
def properties(bulk: Bulk, amounts: Floats, found: Found) -> None:
    """Fill found.bulk: liquid volume m3, solid volume m3, mass kg, enthalpy J (gas and solids
    included), heat capacity J/K at frozen composition, enthalpy of the gas alone J.
    """
    out = found.bulk
    for k in range(len(out)):
        out[k] = 0.0
    t = found.one[TEMPERATURE]
    value, rate = np.empty(4), np.empty(4)
    first = weights(bulk.t_grid, t, value, rate)
    water, moles = bulk_amounts(bulk, found)
    n_water = water / WATER_MASS
    out[VOLUME] = n_water * read(bulk.water_v, first, value)
    out[ENTHALPY] = n_water * read(bulk.water_h, first, value)
    out[HEAT_CAPACITY] = n_water * read(bulk.water_h, first, rate)
    for b in range(len(moles)):
        out[ENTHALPY] += moles[b] * bulk.h0[b]
    if water > 0.0:
        _ions(bulk, water, moles, first, value, rate, out)
        _neutrals(bulk, water, moles, first, value, rate, out)
        if bulk.bisulfate[0] >= 0.0:
            _bisulfate(bulk, water, moles, found, first, value, rate)
    solid, table = found.solid, bulk.solid
    for k in range(len(solid)):
        out[SOLID_VOLUME] += solid[k] * table[2, k]
        out[ENTHALPY] += solid[k] * (table[0, k] + table[1, k] * (t - _T0))
        out[HEAT_CAPACITY] += solid[k] * table[1, k]
    gas, table = found.gas, bulk.gas
    for g in range(len(gas)):
        out[GAS_ENTHALPY] += gas[g] * (table[0, g] + table[1, g] * (t - _T0))
        out[HEAT_CAPACITY] += gas[g] * table[1, g]
    out[ENTHALPY] += out[GAS_ENTHALPY]
    for j in range(len(amounts)):
        out[MASS] += amounts[j] * bulk.mass[j]


@compiled
def _strength(bulk: Bulk, water: float, moles: Floats) -> tuple[float, float]:
    """Equivalents of the ions, and the square root of their ionic strength."""
    equivalents = squares = 0.0
    for b in range(bulk.pair_h.shape[0] + bulk.pair_h.shape[1]):
        equivalents += 0.5 * abs(bulk.charge[b]) * moles[b]
        squares += 0.5 * bulk.charge[b] ** 2 * moles[b]
    return equivalents, np.sqrt(max(squares / water, 0.0))


@compiled
def _ions(
    bulk: Bulk, water: float, moles: Floats, first: int, value: Floats, rate: Floats, out: Floats
) -> None:
    cations, anions = bulk.pair_h.shape[0], bulk.pair_h.shape[1]
    equivalents, root = _strength(bulk, water, moles)
    if not equivalents > 0.0:
        return
    wu, slope = np.empty(4), np.empty(4)
    row = weights(bulk.u_grid, root / (root + 4.0), wu, slope)
    charge, pair_v, pair_h = bulk.charge, bulk.pair_v.reshape(-1), bulk.pair_h.reshape(-1)
    rows, stride = len(bulk.u_grid), len(bulk.t_grid)
    for c in range(cations):
        n_c = charge[c] * moles[c]
        if n_c == 0.0:
            continue
        for a in range(anions):
            share = -n_c * charge[cations + a] * moles[cations + a] / equivalents
            if share != 0.0:
                base = ((c * anions + a) * rows + row) * stride + first
                _add(pair_v, pair_h, base, stride, wu, value, rate, share, out)


@compiled
def _bisulfate(
    bulk: Bulk, water: float, moles: Floats, found: Found, first: int, value: Floats, rate: Floats
) -> None:
    """The HSO4- there is, against that of the sulfuric acid that Young's rule has counted."""
    own = bulk.bisulfate
    bound = found.one[WATER] * found.mol[int(own[0])]
    equivalents, root = _strength(bulk, water, moles)
    if not bound > 0.0 or not equivalents > 0.0:
        return
    acid = moles[int(own[1])] * moles[int(own[2])] / equivalents
    wu, unused = np.empty(4), np.empty(4)
    row = weights(bulk.u_grid, root / (root + 4.0), wu, unused)
    share = slope = beside = 0.0
    for n in range(4):
        if wu[n] != 0.0:
            share += wu[n] * read(bulk.acid_share[row + n], first, value)
            slope += wu[n] * read(bulk.acid_share[row + n], first, rate)
            for c in range(len(bulk.bisulfate_h)):
                part = bulk.charge[c] * moles[c] / equivalents
                beside += wu[n] * part * bulk.bisulfate_h[c, row + n]
    more = bound - acid * share
    forming = own[3] + own[4] * (found.one[TEMPERATURE] - _T0)
    found.bulk[VOLUME] += more * own[5]
    found.bulk[ENTHALPY] += more * forming + bound * beside
    found.bulk[HEAT_CAPACITY] += more * own[4] - acid * slope * forming


@compiled
def _neutrals(
    bulk: Bulk, water: float, moles: Floats, first: int, value: Floats, rate: Floats, out: Floats
) -> None:
    ions = bulk.pair_h.shape[0] + bulk.pair_h.shape[1]
    wu, slope = np.empty(4), np.empty(4)
    neutral_v, neutral_h = bulk.neutral_v.reshape(-1), bulk.neutral_h.reshape(-1)
    rows, stride = len(bulk.u_grid), len(bulk.t_grid)
    for n in range(len(bulk.neutral_h)):
        amount = moles[ions + n]
        if amount == 0.0:
            continue
        root = np.sqrt(max(amount / water, 0.0))
        row = weights(bulk.u_grid, root / (root + 4.0), wu, slope)
        base = (n * rows + row) * stride + first
        _add(neutral_v, neutral_h, base, stride, wu, value, rate, amount, out)
