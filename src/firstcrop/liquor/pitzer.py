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
    return now


@compiled
def at_temperature(chem: Chem, now: Now, temperature: float) -> None:
    """Every constant at `temperature` (K)."""
    dt = temperature - 298.15
    now.known[0] = a_phi(temperature)
    now.known[1] = temperature
    lnk, table = now.lnk, chem.lnk
    for s in range(len(lnk)):
        lnk[s] = ln_k(table[0, s], table[1, s], table[2, s], temperature)
    lnk, table = now.gas_lnk, chem.gas_lnk
    for g in range(len(lnk)):
        lnk[g] = ln_k(table[0, g], table[1, g], table[2, g], temperature)
    value, slope = np.empty(4), np.empty(4)
    first = weights(chem.t_grid, temperature, value, slope)
    lnk, table = now.solid_lnk, chem.solid_lnk
    for n in range(len(lnk)):
        lnk[n] = read(table[n], first, value)
    pair, pair_p = now.pair, chem.pair_p
    for k in range(len(pair)):
        for p in range(4):
            bent = pair_p[k, 3 * p + 1] + 0.5 * dt * pair_p[k, 3 * p + 2]
            pair[k, p] = pair_p[k, 3 * p] + dt * bent
    _linear(chem.like_p, dt, now.like)
    _linear(chem.with_neutral_p, dt, now.with_neutral)
    _linear(chem.triplet_p, dt, now.triplet)


@compiled
def _linear(table: Floats, dt: float, out: Floats) -> None:
    for k in range(len(out)):
        out[k] = table[k, 0] + dt * table[k, 1]


@compiled
def _shapes(chem: Chem, now: Now, strength: float) -> None:
    """g(x) of every alpha with its derivatives by ionic strength, and the mixing integrals."""
    root = np.sqrt(strength)
    alpha, shape = chem.alpha, now.shape
    for a in range(len(alpha)):
        x = alpha[a] * root
        decay = np.exp(-x)
        if x < 0.01:
            g = 1.0 - x * (2.0 / 3.0 - x * (0.25 - x / 15.0))
            h = -x * (1.0 / 3.0 - x * (0.25 - 0.1 * x))
        else:
            g = 2.0 * (1.0 - (1.0 + x) * decay) / (x * x)
            h = -2.0 * (1.0 - (1.0 + x + 0.5 * x * x) * decay) / (x * x)
        shape[a, 0] = g
        shape[a, 1] = h / strength
        shape[a, 2] = -(2.0 * h + 0.5 * x * decay) / (strength * strength)
    product, mixing = chem.product, now.mixing
    unit = 6.0 * now.known[0] * root
    for p in range(len(product)):
        mixing[p, 0], mixing[p, 1], mixing[p, 2] = mixing_integral(unit * product[p])


@compiled
def _mixing(
    like: Ints, product: Floats, mixing: Floats, k: int, strength: float
) -> tuple[float, float, float]:
    """E-theta of a pair of like sign and unequal charge, with derivatives by ionic strength."""
    ij, ii, jj = like[k, 2], like[k, 3], like[k, 4]
    if ij < 0 or strength < 1e-9:
        return 0.0, 0.0, 0.0
    zz = 0.25 * product[ij]
    k0 = zz * (mixing[ij, 0] - 0.5 * (mixing[ii, 0] + mixing[jj, 0]))
    k1 = 0.5 * zz * (mixing[ij, 1] - 0.5 * (mixing[ii, 1] + mixing[jj, 1]))
    k2 = 0.25 * zz * (mixing[ij, 2] - 0.5 * (mixing[ii, 2] + mixing[jj, 2]))
    bend = (k2 - 3.0 * k1 + 2.0 * k0) / strength**3
    return k0 / strength, (k1 - k0) / strength**2, bend


@compiled
def _add(bend: Floats, place: Ints, i: int, j: int, value: float) -> None:
    """Add to the curvature of species i and j where either moves the activities."""
    if place[i] >= 0:
        bend[place[i], j] += value
    if place[j] >= 0 and i != j:
        bend[place[j], i] += value


@compiled
def _unlike(chem: Chem, now: Now, charges: float, sums: Floats) -> None:
    """Add pairs of unlike sign to sums (m L m, its derivatives by I, m C m) and to the rows
    s0 = L m, s1 = L' m, s2 = C m.
    """
    m, s0, s1, s2 = now.m, now.s0, now.s1, now.s2
    pair, values, shape, bend, place = chem.pair, now.pair, now.shape, now.bend, now.place
    for k in range(len(pair)):
        i, j, a, b = pair[k, 0], pair[k, 1], pair[k, 2], pair[k, 3]
        if m[i] == 0.0 and m[j] == 0.0:
            continue
        b1, c = values[k, 1], values[k, 3]
        l0 = values[k, 0] + b1 * shape[a, 0]
        l1, l2 = b1 * shape[a, 1], b1 * shape[a, 2]
        if b >= 0:
            b2 = values[k, 2]
            l0 += b2 * shape[b, 0]
            l1 += b2 * shape[b, 1]
            l2 += b2 * shape[b, 2]
        mi, mj = m[i], m[j]
        mm = 2.0 * mi * mj
        sums[0] += mm * l0
        sums[1] += mm * l1
        sums[2] += mm * l2
        sums[3] += mm * c
        s0[i] += l0 * mj
        s0[j] += l0 * mi
        s1[i] += l1 * mj
        s1[j] += l1 * mi
        s2[i] += c * mj
        s2[j] += c * mi
        _add(bend, place, i, j, 2.0 * l0 + charges * c)


@compiled
def _like(chem: Chem, now: Now, strength: float, sums: Floats) -> None:
    """Add pairs of like sign, and pairs with a neutral, to what `_unlike` adds to."""
    m, s0, s1, bend, place = now.m, now.s0, now.s1, now.bend, now.place
    like, theta, product, mixing = chem.like, now.like, chem.product, now.mixing
    for k in range(len(like)):
        i, j = like[k, 0], like[k, 1]
        mi, mj = m[i], m[j]
        if mi == 0.0 and mj == 0.0:
            continue
        l0, l1, l2 = _mixing(like, product, mixing, k, strength)
        l0 += theta[k]
        mm = 2.0 * mi * mj
        sums[0] += mm * l0
        sums[1] += mm * l1
        sums[2] += mm * l2
        s0[i] += l0 * mj
        s0[j] += l0 * mi
        s1[i] += l1 * mj
        s1[j] += l1 * mi
        _add(bend, place, i, j, 2.0 * l0)
    pair, values = chem.with_neutral, now.with_neutral
    for k in range(len(pair)):
        i, j = pair[k, 0], pair[k, 1]
        l0 = values[k]
        sums[0] += (2.0 if i != j else 1.0) * m[i] * m[j] * l0
        s0[i] += l0 * m[j]
        if i != j:
            s0[j] += l0 * m[i]
        _add(bend, place, i, j, 2.0 * l0)


@compiled
def _triplets(chem: Chem, now: Now) -> float:
    m, lng, bend, place = now.m, now.lng, now.bend, now.place
    triplet, values = chem.triplet, now.triplet
    total = 0.0
    for e in range(len(triplet)):
        i, j, k = triplet[e, 0], triplet[e, 1], triplet[e, 2]
        p = values[e]
        total += p * m[i] * m[j] * m[k]
        lng[i] += p * m[j] * m[k]
        lng[j] += p * m[i] * m[k]
        lng[k] += p * m[i] * m[j]
        _add(bend, place, i, j, p * m[k])
        _add(bend, place, i, k, p * m[j])
        _add(bend, place, j, k, p * m[i])
    return total


@compiled
def _excess(chem: Chem, now: Now, majors: int) -> float:
    """ln a_w of the composition `now.m`; fills lng and the rows of bend."""
    m, z, w = now.m, chem.z, chem.half
    lng, s0, s1, s2 = now.lng, now.s0, now.s1, now.s2
    size = len(m)
    strength = charges = total = 0.0
    for i in range(size):
        strength += w[i] * m[i]
        charges += z[i] * m[i]
        total += m[i]
        s0[i] = s1[i] = s2[i] = lng[i] = 0.0
    strength = max(strength, 1e-14)
    bend, major = now.bend, now.major
    for r in range(majors):
        for i in range(size):
            bend[r, i] = 0.0
    sums = np.zeros(4)
    _shapes(chem, now, strength)
    _unlike(chem, now, charges, sums)
    _like(chem, now, strength, sums)
    triple = _triplets(chem, now)
    q0, q1, q2, qc = sums[0], sums[1], sums[2], sums[3]
    root = np.sqrt(strength)
    spread = 1.0 + _B * root
    log_term = np.log(spread)
    slope = now.known[0]
    f0 = -4.0 * slope * strength / _B * log_term
    f1 = -slope * (2.0 * root / spread + 4.0 / _B * log_term)
    f2 = -slope * (1.0 / (root * spread * spread) + 2.0 / (root * spread))
    energy = f0 + q0 + 0.5 * charges * qc + triple
    moved = 0.0
    for i in range(size):
        lng[i] += w[i] * (f1 + q1) + 2.0 * s0[i] + 0.5 * z[i] * qc + charges * s2[i]
        moved += m[i] * lng[i]
    for r in range(majors):
        j = major[r]
        wj, zj, cj = w[j], z[j], s2[j]
        flat = wj * (f2 + q2) + 2.0 * s1[j]
        for i in range(size):
            bend[r, i] += w[i] * flat + 2.0 * wj * s1[i] + z[i] * cj + zj * s2[i]
    return WATER_MASS * (energy - moved - total)


@compiled
def activities(chem: Chem, now: Now, molality: Floats, majors: int, share: float) -> float:
    """ln a_w; fills now.lng [S], and now.bend and now.water, their derivatives by molality.

    `share` 1 is Pitzer's model, 0 an ideal mixture on the mole-fraction scale, between them a
    blend (the road to a solution that Newton cannot reach in one go).
    """
    m, reach, lng = now.m, chem.reach, now.lng
    size = len(molality)
    strength = total = 0.0
    for i in range(size):
        strength += reach[i] * molality[i]
        total += molality[i]
    limit = chem.limits[0]
    scale = 1.0 if strength <= limit else limit / strength
    for i in range(size):
        m[i] = scale * molality[i]
    ln_water = _excess(chem, now, majors)
    ideal = -np.log(1.0 + WATER_MASS * total)
    beyond = 0.0 if scale == 1.0 else ideal + np.log(1.0 + WATER_MASS * scale * total)
    _curvature(chem, now, majors, total, scale, share)
    for i in range(size):
        lng[i] = share * (lng[i] + beyond) + (1.0 - share) * ideal
    return share * (ln_water + beyond) + (1.0 - share) * ideal


@compiled
def _curvature(chem: Chem, now: Now, majors: int, total: float, scale: float, share: float) -> None:
    """Finish d ln gamma / dm and d ln a_w / dm: scaling at the limit, blend with the ideal."""
    m, reach, bend = now.m, chem.reach, now.bend
    major, water = now.major, now.water
    size = len(m)
    limit = chem.limits[0]
    pull, drift = now.s0, now.s1  # sum_j H_ij m_j ; by symmetry of H also sum_i m_i H_ij
    pull[:] = 0.0
    for r in range(majors):
        mj = m[major[r]]
        for i in range(size):
            pull[i] += bend[r, i] * mj
    total_pull = 0.0
    for i in range(size):
        total_pull += m[i] * (1.0 + pull[i])
    ideal = -WATER_MASS / (1.0 + WATER_MASS * total)
    for i in range(size):
        drift[i] = back = 0.0
        if scale < 1.0:
            inner = scale * (1.0 - total * scale * reach[i] / limit)
            drift[i] = ideal + WATER_MASS * inner / (1.0 + WATER_MASS * scale * total)
            back = reach[i] / limit * total_pull
        water[i] = -WATER_MASS * scale * (1.0 + pull[i] - back) + drift[i]
        water[i] = share * water[i] + (1.0 - share) * ideal
    for r in range(majors):
        j = major[r]
        back = reach[j] / limit if scale < 1.0 else 0.0
        for i in range(size):
            value = scale * (bend[r, i] - pull[i] * back) + drift[j]
            bend[r, i] = share * value + (1.0 - share) * ideal
