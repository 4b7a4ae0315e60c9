"""A System laid out for the kernels: sparse lists instead of mostly empty matrices.

Letters as in `system.py`; beside them A distinct alphas, L pairs of unlike sign, K pairs of like
sign, D pairs with a neutral, E triplets, X distinct charge products, B cations, B' anions.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from firstcrop.liquor.system import Floats, Ints, System


class Chem(NamedTuple):
    """What speciation and activity need."""

    charge: Floats  # [C]
    z: Floats  # [S] |charge|
    half: Floats  # [S] z^2 / 2: what a mole adds to ionic strength
    nu: Floats  # [S, C]
    lnk: Floats  # [3, S] k0, dh, dcp
    gas_nu: Floats  # [G, C]
    gas_lnk: Floats  # [3, G]
    solid_nu: Floats  # [N, C]
    solid_lnk: Floats  # [N, T]
    t_grid: Floats  # [T]
    pair: Ints  # [L, 4] cation, anion, row of alpha1, row of alpha2
    pair_p: Floats  # [L, 12] beta0, beta1, beta2, C (each: value, d/dT, d2/dT2)
    alpha: Floats  # [A]
    like: Ints  # [K, 5] i, j, rows in `product` of z_i z_j, z_i^2, z_j^2 (-1: equal charges)
    like_p: Floats  # [K, 2]
    product: Floats  # [X] charge products whose mixing integral is needed
    with_neutral: Ints  # [D, 2]
    with_neutral_p: Floats  # [D, 2]
    triplet: Ints  # [E, 3]
    triplet_p: Floats  # [E, 2]
    limits: Floats  # [2] ionic_strength_max, index of Cl- among species


class Bulk(NamedTuple):
    """What density and heat need."""

    charge: Floats  # [B + B' + M]
    of_species: Floats  # [S, B + B' + M]
    water: Floats  # [S]
    h0: Floats  # [B + B' + M]
    u_grid: Floats
    t_grid: Floats
    pair_h: Floats  # [B, B', U, T]
    pair_v: Floats
    neutral_h: Floats  # [M, U, T]
    neutral_v: Floats
    water_h: Floats  # [T]
    water_v: Floats
    solid: Floats  # [4, N] enthalpy, heat capacity, volume, mass a mole
    gas: Floats  # [2, G] enthalpy, heat capacity a mole
    mass: Floats  # [C] kg/mol


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
    neutral = [
        (i, j) for i in range(size) for j in range(i, size) if np.any(s.lam[:, i, j] != 0.0)
    ]
    triplet, triplet_p = _triplets(s)
    chloride = s.species.index("Cl-") if "Cl-" in s.species else -1
    return Chem(
        charge=_floats(s.component_charge, -1),
        z=_floats(np.abs(s.z), -1),
        half=_floats(s.z**2 / 2.0, -1),
        nu=_floats(s.nu, size, len(s.components)),
        lnk=_floats(np.stack([s.k0, s.dh, s.dcp]), 3, size),
        gas_nu=_floats(s.gas_nu, len(s.gases), len(s.components)),
        gas_lnk=_floats(np.stack([s.gas_k0, s.gas_dh, s.gas_dcp]), 3, len(s.gases)),
        solid_nu=_floats(s.solid_nu, len(s.solids), len(s.components)),
        solid_lnk=_floats(s.solid_lnk, len(s.solids), len(s.t_grid)),
        t_grid=_floats(s.t_grid, -1),
        pair=pair,
        pair_p=pair_p,
        alpha=alpha,
        like=like,
        like_p=like_p,
        product=product,
        with_neutral=_ints(neutral, 2),
        with_neutral_p=_floats([s.lam[:, i, j] for i, j in neutral], -1, 2),
        triplet=triplet,
        triplet_p=triplet_p,
        limits=_floats([s.ionic_strength_max, chloride], 2),
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
    return Bulk(
        charge=_floats(s.bulk_charge, -1),
        of_species=_floats(s.bulk_of_species, len(s.species), len(s.bulk)),
        water=_floats(s.bulk_water, -1),
        h0=_floats(s.bulk_h0, -1),
        u_grid=_floats(s.u_grid, -1),
        t_grid=_floats(s.t_grid, -1),
        pair_h=_floats(s.pair_h, cations, anions, u, t),
        pair_v=_floats(s.pair_v, cations, anions, u, t),
        neutral_h=_floats(s.neutral_h, rest, u, t),
        neutral_v=_floats(s.neutral_v, rest, u, t),
        water_h=_floats(s.water_h, -1),
        water_v=_floats(s.water_v, -1),
        solid=_floats(
            np.stack([s.solid_h, s.solid_cp, s.solid_volume, s.solid_mass]), 4, len(s.solids)
        ),
        gas=_floats(np.stack([s.gas_h, s.gas_cp]), 2, len(s.gases)),
        mass=_floats(s.component_mass, -1),
    )
