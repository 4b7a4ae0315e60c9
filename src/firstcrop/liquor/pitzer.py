"""Activity by Pitzer's equation: one excess energy, its gradient and its curvature.

g = G(excess) / (RT kg of water) in the form of Pitzer (Activity Coefficients in Electrolyte
Solutions, 2nd ed., CRC Press 1991, ch. 3, eq. 35-37 and 64); ln gamma_i = dg/dm_i, and by
Gibbs-Duhem ln a_w = M_w (g - sum m g_i - sum m).

Beyond `ionic_strength_max` (to which neutral solutes count by their own limit) the composition
is scaled back to it along its own direction and the activity coefficients found there are kept on
the mole-fraction scale: continuous, bounded, and close to how concentrated acids behave.
"""

from __future__ import annotations

import numpy as np
from numba import types
from numba.experimental import structref

from firstcrop.laws.debye_hueckel_slope import a_phi
from firstcrop.laws.electrostatic_mixing_harvie_1981 import mixing_integral
from firstcrop.laws.equilibrium_constant_temperature import ln_k
from firstcrop.liquor.compiled import Grid, IntRow, Row, compiled, record
from firstcrop.liquor.curves import read, weights
from firstcrop.liquor.pack import Chem
from firstcrop.liquor.system import Floats, Ints

WATER_MASS = 0.018015268  # kg/mol (CODATA/IUPAC 2013 atomic weights)
_B = 1.2  # (kg/mol)^(1/2), Pitzer's Debye-Hückel distance


class Now(structref.StructRefProxy):  # type: ignore[misc]
    """The chemistry at one temperature, and the activities of one composition."""

    lnk: Row  # [S]
    gas_lnk: Row  # [G]
    solid_lnk: Row  # [N] NaN: the solid is not known at this temperature
    pair: Grid  # [L, 4]
    like: Row  # [K]
    with_neutral: Row  # [D]
    triplet: Row  # [E]
    mixing: Grid  # [X, 3] mixing integral and derivatives
    shape: Grid  # [A, 3] of each alpha: g(x), dg/dI, d2g/dI2
    lng: Row  # [S]
    water: Row  # [S] d ln a_w / dm
    bend: Grid  # [S, S] row: a major species; d ln gamma / dm of it
    s0: Row  # [S] scratch rows
    s1: Row
    s2: Row
    m: Row  # [S] molality after scaling
    major: IntRow  # [S] species that move the activities
    place: IntRow  # [S] row in `bend`, -1: minor
    known: Row  # [2] A_phi, temperature


class NowStruct(types.StructRef):  # type: ignore[misc]
    """Numba's name for Now."""


NOW = record(NowStruct, Now)


@compiled
def prepare(chem: Chem) -> Now:
    """Room for one solve."""
    s = len(chem.z)
    now = structref.new(NOW)
    now.lnk = np.empty(s)
    now.gas_lnk = np.empty(len(chem.gas_nu))
    now.solid_lnk = np.empty(len(chem.solid_nu))
    now.pair = np.empty((len(chem.pair), 4))
    now.like = np.empty(len(chem.like))
    now.with_neutral = np.empty(len(chem.with_neutral))
    now.triplet = np.empty(len(chem.triplet))
    now.mixing = np.empty((len(chem.product), 3))
    now.shape = np.empty((len(chem.alpha), 3))
    now.bend = np.empty((s, s))
    now.major = np.zeros(s, dtype=np.int64)
    now.place = np.full(s, -1)
    rows = np.zeros((6, s))
    now.lng, now.water, now.m = rows[0], rows[1], rows[2]
    now.s0, now.s1, now.s2 = rows[3], rows[4], rows[5]
    now.known = np.zeros(2)
    return now  # type: ignore[no-any-return]


@compiled
def at_temperature(chem: Chem, now: Now, temperature: float) -> None:
    """Every constant at `temperature` (K)."""
    dt = temperature - 298.15
    now.known[0] = a_phi(temperature)
    now.known[1] = temperature
    for s in range(len(now.lnk)):
        now.lnk[s] = ln_k(chem.lnk[0, s], chem.lnk[1, s], chem.lnk[2, s], temperature)
    for g in range(len(now.gas_lnk)):
        row = chem.gas_lnk[:, g]
        now.gas_lnk[g] = ln_k(row[0], row[1], row[2], temperature)
    value, slope = np.empty(4), np.empty(4)
    first = weights(chem.t_grid, temperature, value, slope)
    for n in range(len(now.solid_lnk)):
        now.solid_lnk[n] = read(chem.solid_lnk[n], first, value)
    for k in range(len(chem.pair)):
        for p in range(4):
            row = chem.pair_p[k, 3 * p : 3 * p + 3]
            now.pair[k, p] = row[0] + dt * (row[1] + 0.5 * dt * row[2])
    for k in range(len(chem.like)):
        now.like[k] = chem.like_p[k, 0] + dt * chem.like_p[k, 1]
    for k in range(len(chem.with_neutral)):
        now.with_neutral[k] = chem.with_neutral_p[k, 0] + dt * chem.with_neutral_p[k, 1]
    for k in range(len(chem.triplet)):
        now.triplet[k] = chem.triplet_p[k, 0] + dt * chem.triplet_p[k, 1]


@compiled
def _shapes(chem: Chem, now: Now, strength: float) -> None:
    """g(x) of every alpha with its derivatives by ionic strength, and the mixing integrals."""
    root = np.sqrt(strength)
    for a in range(len(chem.alpha)):
        x = chem.alpha[a] * root
        decay = np.exp(-x)
        if x < 0.01:
            g = 1.0 - x * (2.0 / 3.0 - x * (0.25 - x / 15.0))
            h = -x * (1.0 / 3.0 - x * (0.25 - 0.1 * x))
        else:
            g = 2.0 * (1.0 - (1.0 + x) * decay) / (x * x)
            h = -2.0 * (1.0 - (1.0 + x + 0.5 * x * x) * decay) / (x * x)
        now.shape[a, 0] = g
        now.shape[a, 1] = h / strength
        now.shape[a, 2] = -(2.0 * h + 0.5 * x * decay) / (strength * strength)
    for p in range(len(chem.product)):
        x = 6.0 * chem.product[p] * now.known[0] * root
        now.mixing[p, 0], now.mixing[p, 1], now.mixing[p, 2] = mixing_integral(x)


@compiled
def _mixing(chem: Chem, now: Now, k: int, strength: float) -> tuple[float, float, float]:
    """E-theta of a pair of like sign and unequal charge, with derivatives by ionic strength."""
    ij, ii, jj = chem.like[k, 2], chem.like[k, 3], chem.like[k, 4]
    if ij < 0 or strength < 1e-9:
        return 0.0, 0.0, 0.0
    zz = 0.25 * chem.product[ij]
    k0 = zz * (now.mixing[ij, 0] - 0.5 * (now.mixing[ii, 0] + now.mixing[jj, 0]))
    k1 = 0.5 * zz * (now.mixing[ij, 1] - 0.5 * (now.mixing[ii, 1] + now.mixing[jj, 1]))
    k2 = 0.25 * zz * (now.mixing[ij, 2] - 0.5 * (now.mixing[ii, 2] + now.mixing[jj, 2]))
    bend = (k2 - 3.0 * k1 + 2.0 * k0) / strength**3
    return k0 / strength, (k1 - k0) / strength**2, bend


@compiled
def _add(now: Now, i: int, j: int, value: float) -> None:
    """Add to the curvature of species i and j where either moves the activities."""
    if now.place[i] >= 0:
        now.bend[now.place[i], j] += value
    if now.place[j] >= 0 and i != j:
        now.bend[now.place[j], i] += value


@compiled
def _pairs(
    chem: Chem, now: Now, strength: float, charges: float, curved: bool
) -> tuple[float, float, float, float]:
    """m L m, its two derivatives by I, and m C m; rows s0 = L m, s1 = L' m, s2 = C m."""
    m, s0, s1, s2 = now.m, now.s0, now.s1, now.s2
    q0 = q1 = q2 = qc = 0.0
    for k in range(len(chem.pair)):
        i, j, a, b = chem.pair[k, 0], chem.pair[k, 1], chem.pair[k, 2], chem.pair[k, 3]
        b1, c = now.pair[k, 1], now.pair[k, 3]
        l0 = now.pair[k, 0] + b1 * now.shape[a, 0]
        l1, l2 = b1 * now.shape[a, 1], b1 * now.shape[a, 2]
        if b >= 0:
            b2 = now.pair[k, 2]
            l0, l1, l2 = (
                l0 + b2 * now.shape[b, 0],
                l1 + b2 * now.shape[b, 1],
                l2 + b2 * now.shape[b, 2],
            )
        mm = 2.0 * m[i] * m[j]
        q0, q1, q2, qc = q0 + mm * l0, q1 + mm * l1, q2 + mm * l2, qc + mm * c
        s0[i], s0[j] = s0[i] + l0 * m[j], s0[j] + l0 * m[i]
        s1[i], s1[j] = s1[i] + l1 * m[j], s1[j] + l1 * m[i]
        s2[i], s2[j] = s2[i] + c * m[j], s2[j] + c * m[i]
        if curved:
            _add(now, i, j, 2.0 * l0 + charges * c)
    for k in range(len(chem.like)):
        i, j = chem.like[k, 0], chem.like[k, 1]
        l0, l1, l2 = _mixing(chem, now, k, strength)
        l0 += now.like[k]
        mm = 2.0 * m[i] * m[j]
        q0, q1, q2 = q0 + mm * l0, q1 + mm * l1, q2 + mm * l2
        s0[i], s0[j] = s0[i] + l0 * m[j], s0[j] + l0 * m[i]
        s1[i], s1[j] = s1[i] + l1 * m[j], s1[j] + l1 * m[i]
        if curved:
            _add(now, i, j, 2.0 * l0)
    for k in range(len(chem.with_neutral)):
        i, j = chem.with_neutral[k, 0], chem.with_neutral[k, 1]
        l0 = now.with_neutral[k]
        q0 += (2.0 if i != j else 1.0) * m[i] * m[j] * l0
        s0[i] += l0 * m[j]
        if i != j:
            s0[j] += l0 * m[i]
        if curved:
            _add(now, i, j, 2.0 * l0)
    return q0, q1, q2, qc


@compiled
def _triplets(chem: Chem, now: Now, curved: bool) -> float:
    m = now.m
    total = 0.0
    for e in range(len(chem.triplet)):
        i, j, k = chem.triplet[e, 0], chem.triplet[e, 1], chem.triplet[e, 2]
        p = now.triplet[e]
        total += p * m[i] * m[j] * m[k]
        now.lng[i] += p * m[j] * m[k]
        now.lng[j] += p * m[i] * m[k]
        now.lng[k] += p * m[i] * m[j]
        if curved:
            _add(now, i, j, p * m[k])
            _add(now, i, k, p * m[j])
            _add(now, j, k, p * m[i])
    return total


@compiled
def _excess(chem: Chem, now: Now, majors: int, curved: bool) -> float:
    """ln a_w of the composition `now.m`; fills lng and, when `curved`, the rows of bend."""
    m, z, w = now.m, chem.z, chem.half
    size = len(m)
    strength = charges = total = 0.0
    for i in range(size):
        strength += w[i] * m[i]
        charges += z[i] * m[i]
        total += m[i]
        now.s0[i] = now.s1[i] = now.s2[i] = now.lng[i] = 0.0
    strength = max(strength, 1e-14)
    now.bend[:majors] = 0.0
    _shapes(chem, now, strength)
    q0, q1, q2, qc = _pairs(chem, now, strength, charges, curved)
    root = np.sqrt(strength)
    spread = 1.0 + _B * root
    log_term = np.log(spread)
    f0 = -4.0 * now.known[0] * strength / _B * log_term
    f1 = -now.known[0] * (2.0 * root / spread + 4.0 / _B * log_term)
    f2 = -now.known[0] * (1.0 / (root * spread * spread) + 2.0 / (root * spread))
    triple = _triplets(chem, now, curved)
    energy = f0 + q0 + 0.5 * charges * qc + triple
    moved = 0.0
    for i in range(size):
        now.lng[i] += w[i] * (f1 + q1) + 2.0 * now.s0[i] + 0.5 * z[i] * qc + charges * now.s2[i]
        moved += m[i] * now.lng[i]
    if curved:
        s1, s2 = now.s1, now.s2
        for r in range(majors):
            j = now.major[r]
            wj, zj = w[j], z[j]
            flat = wj * (f2 + q2) + 2.0 * s1[j]
            for i in range(size):
                now.bend[r, i] += w[i] * flat + 2.0 * wj * s1[i] + z[i] * s2[j] + zj * s2[i]
    return WATER_MASS * (energy - moved - total)


@compiled
def activities(
    chem: Chem, now: Now, molality: Floats, majors: int, curved: bool, share: float
) -> float:
    """ln a_w; fills now.lng [S] and, when `curved`, now.bend and now.water.

    `share` 1 is Pitzer's model, 0 an ideal mixture on the mole-fraction scale, between them a
    blend (the road to a solution that Newton cannot reach in one go).
    """
    size = len(molality)
    strength = total = 0.0
    for i in range(size):
        strength += chem.reach[i] * molality[i]
        total += molality[i]
    limit = chem.limits[0]
    scale = 1.0 if strength <= limit else limit / strength
    for i in range(size):
        now.m[i] = scale * molality[i]
    ln_water = _excess(chem, now, majors, curved)
    ideal = -np.log(1.0 + WATER_MASS * total)
    beyond = 0.0 if scale == 1.0 else ideal + np.log(1.0 + WATER_MASS * scale * total)
    if curved:
        _curvature(chem, now, majors, total, scale, share)
    for i in range(size):
        now.lng[i] = share * (now.lng[i] + beyond) + (1.0 - share) * ideal
    return share * (ln_water + beyond) + (1.0 - share) * ideal


@compiled
def _curvature(
    chem: Chem, now: Now, majors: int, total: float, scale: float, share: float
) -> None:
    """Finish d ln gamma / dm and d ln a_w / dm: scaling at the limit, blend with the ideal."""
    size = len(now.m)
    limit = chem.limits[0]
    pull, drift = now.s0, now.s1  # sum_j H_ij m_j ; by symmetry of H also sum_i m_i H_ij
    pull[:] = 0.0
    for r in range(majors):
        for i in range(size):
            pull[i] += now.bend[r, i] * now.m[now.major[r]]
    along = total_pull = 0.0
    for i in range(size):
        total_pull += now.m[i] * (1.0 + pull[i])
    ideal = -WATER_MASS / (1.0 + WATER_MASS * total)
    for i in range(size):
        drift[i] = 0.0
        if scale < 1.0:
            inner = scale * (1.0 - total * scale * chem.reach[i] / limit)
            drift[i] = ideal + WATER_MASS * inner / (1.0 + WATER_MASS * scale * total)
            along = chem.reach[i] / limit * total_pull
            now.water[i] = -WATER_MASS * scale * (1.0 + pull[i] - along) + drift[i]
        else:
            now.water[i] = -WATER_MASS * (1.0 + pull[i])
        now.water[i] = share * now.water[i] + (1.0 - share) * ideal
    for r in range(majors):
        j = now.major[r]
        back = chem.reach[j] / limit if scale < 1.0 else 0.0
        for i in range(size):
            bend = scale * (now.bend[r, i] - pull[i] * back) + drift[j]
            now.bend[r, i] = share * bend + (1.0 - share) * ideal
