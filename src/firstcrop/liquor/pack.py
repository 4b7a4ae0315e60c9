"""A System laid out for the kernels: sparse lists instead of mostly empty matrices.

Letters as in `system.py`; beside them A distinct alphas, L pairs of unlike sign, K pairs of like
sign, D pairs with a neutral, E triplets, X distinct charge products, B cations, B' anions.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
from numba import types
from numba.experimental import structref

from firstcrop.liquor.compiled import Block, Cube, Grid, IntGrid, Row, entry, record
from firstcrop.liquor.system import Floats, Ints, System

_MOST_NEUTRAL = 12.0  # mol/kg of neutral solutes beyond which the activity model is not followed


class Chem(structref.StructRefProxy):  # type: ignore[misc]
    """What speciation and activity need."""

    charge: Row  # [C]
    z: Row  # [S] |charge|
    half: Row  # [S] z^2 / 2: what a mole adds to ionic strength
    reach: Row  # [S] what a mole adds to the measure that limits[0] bounds
    nu: Grid  # [S, C]
    lnk: Grid  # [3, S] k0, dh, dcp
    gas_nu: Grid  # [G, C]
    gas_lnk: Grid  # [3, G]
    solid_nu: Grid  # [N, C]
    solid_lnk: Grid  # [N, T]
    t_grid: Row  # [T]
    pair: IntGrid  # [L, 4] cation, anion, row of alpha1, row of alpha2 (-1: no beta2)
    pair_p: Grid  # [L, 12] beta0, beta1, beta2, C (each: value, d/dT, d2/dT2)
    alpha: Row  # [A]
    like: IntGrid  # [K, 5] i, j, rows in `product` of z_i z_j, z_i^2, z_j^2 (-1: equal charges)
    like_p: Grid  # [K, 2]
    product: Row  # [X] charge products whose mixing integral is needed
    with_neutral: IntGrid  # [D, 2]
    with_neutral_p: Grid  # [D, 2]
    triplet: IntGrid  # [E, 3]
    triplet_p: Grid  # [E, 2]
    limits: Row  # [2] ionic_strength_max, index of Cl- among species


class Bulk(structref.StructRefProxy):  # type: ignore[misc]
    """What density and heat need."""

    charge: Row  # [B + B' + M]
    of_species: Grid  # [S, B + B' + M]
    water: Row  # [S]
    h0: Row  # [B + B' + M]
    u_grid: Row
    t_grid: Row
    pair_h: Cube  # [B, B', U, T]
    pair_v: Cube
    neutral_h: Block  # [M, U, T]
    neutral_v: Block
    water_h: Row  # [T]
    water_v: Row  # [T]
    solid: Grid  # [4, N] enthalpy, heat capacity, volume, mass a mole
    gas: Grid  # [2, G] enthalpy, heat capacity a mole
    mass: Row  # [C] kg/mol
    bisulfate: Row  # [6] species row of HSO4- (-1: none), bulk columns of H+ and SO4-2; enthalpy,
    # heat capacity and volume of forming a mole of it
    acid_share: Grid  # [U, T]
    bisulfate_h: Grid  # [B, U]


class ChemStruct(types.StructRef):  # type: ignore[misc]
    """Numba's name for Chem."""


class BulkStruct(types.StructRef):  # type: ignore[misc]
    """Numba's name for Bulk."""


CHEM = record(ChemStruct, Chem)
BULK = record(BulkStruct, Bulk)


@lru_cache(maxsize=512)
def pack(system: System) -> tuple[Chem, Bulk]:
    """The kernels' view of `system`, made once."""
    return _chem(system), _bulk(system)


def _floats(rows: Any, *shape: int) -> Floats:
    return np.ascontiguousarray(np.array(rows, dtype=np.float64).reshape(shape))


def _ints(rows: Any, width: int) -> Ints:
    return np.ascontiguousarray(np.array(rows, dtype=np.int64).reshape(-1, width))


def _chem(s: System) -> Chem:
    size = len(s.species)
    alpha, pair, pair_p = _unlike_pairs(s)
    product, like, like_p = _like_pairs(s)
    neutral = [(i, j) for i in range(size) for j in range(i, size) if np.any(s.lam[:, i, j] != 0.0)]
    triplet, triplet_p = _triplets(s)
    chloride = s.species.index("Cl-") if "Cl-" in s.species else -1
    return _new_chem(
        _floats(s.component_charge, -1),
        _floats(np.abs(s.z), -1),
        _floats(s.z**2 / 2.0, -1),
        _floats(np.where(s.z == 0.0, s.ionic_strength_max / _MOST_NEUTRAL, s.z**2 / 2.0), -1),
        _floats(s.nu, size, len(s.components)),
        _floats(np.stack([s.k0, s.dh, s.dcp]), 3, size),
        _floats(s.gas_nu, len(s.gases), len(s.components)),
        _floats(np.stack([s.gas_k0, s.gas_dh, s.gas_dcp]), 3, len(s.gases)),
        _floats(s.solid_nu, len(s.solids), len(s.components)),
        _floats(s.solid_lnk, len(s.solids), len(s.t_grid)),
        _floats(s.t_grid, -1),
        pair,
        pair_p,
        alpha,
        like,
        like_p,
        product,
        _ints(neutral, 2),
        _floats([s.lam[:, i, j] for i, j in neutral], -1, 2),
        triplet,
        triplet_p,
        _floats([s.ionic_strength_max, chloride], 2),
    )


def _unlike_pairs(s: System) -> tuple[Floats, Ints, Floats]:
    pairs, values, alphas = [], [], [2.0]
    for i in np.flatnonzero(s.z > 0):
        for j in np.flatnonzero(s.z < 0):
            a1 = s.alpha1[i, j] if s.alpha1[i, j] > 0.0 else 2.0
            a2 = s.alpha2[i, j] if s.alpha2[i, j] > 0.0 else 12.0
            rows = [p[:, i, j] for p in (s.beta0, s.beta1, s.beta2, s.cphi)]
            if not np.any(np.array(rows)):
                continue
            alphas += [float(a) for a in (a1, a2) if a not in alphas]
            scale = 1.0 / (2.0 * np.sqrt(abs(s.z[i] * s.z[j])))
            rows[3] = rows[3] * scale
            pairs.append((i, j, alphas.index(a1), alphas.index(a2) if np.any(rows[2]) else -1))
            values.append(np.concatenate(rows))
    return _floats(alphas, -1), _ints(pairs, 4), _floats(values, -1, 12)


def _like_pairs(s: System) -> tuple[Floats, Ints, Floats]:
    pairs, values, products = [], [], [1.0]
    for i in range(len(s.species)):
        for j in range(i + 1, len(s.species)):
            if s.z[i] * s.z[j] <= 0.0 or (s.z[i] == s.z[j] and not np.any(s.theta[:, i, j])):
                continue
            rows = [-1, -1, -1]
            if s.z[i] != s.z[j]:
                wanted = [s.z[i] * s.z[j], s.z[i] ** 2, s.z[j] ** 2]
                products += [float(w) for w in wanted if w not in products]
                rows = [products.index(w) for w in wanted]
            pairs.append((i, j, *rows))
            values.append(s.theta[:, i, j])
    return _floats(products, -1), _ints(pairs, 5), _floats(values, -1, 2)


def _triplets(s: System) -> tuple[Ints, Floats]:
    index = [*(tuple(r) for r in s.psi_index), *(tuple(r) for r in s.zeta_index)]
    values = [*(s.psi[:, k] for k in range(len(s.psi_index)))]
    values += [np.array([v, 0.0]) for v in s.zeta]
    return _ints(index, 3), _floats(values, -1, 2)


def _bulk(s: System) -> Bulk:
    cations = int(np.sum(s.bulk_charge > 0))
    anions = int(np.sum(s.bulk_charge < 0))
    rest = len(s.bulk) - cations - anions
    u, t = len(s.u_grid), len(s.t_grid)
    return _new_bulk(
        _floats(s.bulk_charge, -1),
        _floats(s.bulk_of_species, len(s.species), len(s.bulk)),
        _floats(s.bulk_water, -1),
        _floats(s.bulk_h0, -1),
        _floats(s.u_grid, -1),
        _floats(s.t_grid, -1),
        _floats(s.pair_h, cations, anions, u, t),
        _floats(s.pair_v, cations, anions, u, t),
        _floats(s.neutral_h, rest, u, t),
        _floats(s.neutral_v, rest, u, t),
        _floats(s.water_h, -1),
        _floats(s.water_v, -1),
        _floats(np.stack([s.solid_h, s.solid_cp, s.solid_volume, s.solid_mass]), 4, len(s.solids)),
        _floats(np.stack([s.gas_h, s.gas_cp]), 2, len(s.gases)),
        _floats(s.component_mass, -1),
        *_bisulfate(s, cations),
    )


def _bisulfate(s: System, cations: int) -> tuple[Floats, Floats, Floats]:
    row, u, t = int(s.bisulfate[0]), len(s.u_grid), len(s.t_grid)
    if row < 0:
        return np.full(6, -1.0), np.zeros((u, t)), np.zeros((cations, u))
    own = _floats([*s.bisulfate, s.dh[row], s.dcp[row], s.bisulfate_v], 6)
    return own, _floats(s.acid_share, u, t), _floats(s.bisulfate_h, cations, u)


@entry
def _new_chem(
    charge: Row,
    z: Row,
    half: Row,
    reach: Row,
    nu: Grid,
    lnk: Grid,
    gas_nu: Grid,
    gas_lnk: Grid,
    solid_nu: Grid,
    solid_lnk: Grid,
    t_grid: Row,
    pair: IntGrid,
    pair_p: Grid,
    alpha: Row,
    like: IntGrid,
    like_p: Grid,
    product: Row,
    with_neutral: IntGrid,
    with_neutral_p: Grid,
    triplet: IntGrid,
    triplet_p: Grid,
    limits: Row,
) -> Chem:
    new = structref.new(CHEM)
    new.charge = charge
    new.z = z
    new.half = half
    new.reach = reach
    new.nu = nu
    new.lnk = lnk
    new.gas_nu = gas_nu
    new.gas_lnk = gas_lnk
    new.solid_nu = solid_nu
    new.solid_lnk = solid_lnk
    new.t_grid = t_grid
    new.pair = pair
    new.pair_p = pair_p
    new.alpha = alpha
    new.like = like
    new.like_p = like_p
    new.product = product
    new.with_neutral = with_neutral
    new.with_neutral_p = with_neutral_p
    new.triplet = triplet
    new.triplet_p = triplet_p
    new.limits = limits
    return new


@entry
def _new_bulk(
    charge: Row,
    of_species: Grid,
    water: Row,
    h0: Row,
    u_grid: Row,
    t_grid: Row,
    pair_h: Cube,
    pair_v: Cube,
    neutral_h: Block,
    neutral_v: Block,
    water_h: Row,
    water_v: Row,
    solid: Grid,
    gas: Grid,
    mass: Row,
    bisulfate: Row,
    acid_share: Grid,
    bisulfate_h: Grid,
) -> Bulk:
    new = structref.new(BULK)
    new.charge = charge
    new.of_species = of_species
    new.water = water
    new.h0 = h0
    new.u_grid = u_grid
    new.t_grid = t_grid
    new.pair_h = pair_h
    new.pair_v = pair_v
    new.neutral_h = neutral_h
    new.neutral_v = neutral_v
    new.water_h = water_h
    new.water_v = water_v
    new.solid = solid
    new.gas = gas
    new.mass = mass
    new.bisulfate = bisulfate
    new.acid_share = acid_share
    new.bisulfate_h = bisulfate_h
    return new
