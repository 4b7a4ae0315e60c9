"""One assemblage of phases at fixed temperature and pressure: damped Newton on log amounts.

Unknowns: ln activity of every component, ln water mass, moles of the solids said to be present,
moles of gas when a gas phase is said to be present. Molalities ride along as logarithms, each
tied to the component activities by mass action; the activity model's full curvature is used.
A mass balance that is far off is linearised in its logarithm, which converges from both sides.
"""

from __future__ import annotations

import numpy as np
from numba import types
from numba.experimental import structref

from firstcrop.liquor.compiled import Grid, IntRow, Row, compiled, record
from firstcrop.liquor.found import DRY, LOST, SINGULAR, SOLVED
from firstcrop.liquor.pack import Chem
from firstcrop.liquor.pitzer import WATER_MASS, Now, activities
from firstcrop.liquor.system import Floats

_STEPS = 60
_LAST = 1e-6  # steps below this are applied linearly: the balances then close to rounding
_MAJOR = 1e-4  # share of all solutes from which a species moves the activity of others
_TRACE, _MUCH = -18.0, -4.6  # ln molality: below the first a step may be of any length
_DRY = -16.0  # ln of the water left over the water there was


class Point(structref.StructRefProxy):  # type: ignore[misc]
    """Where the iteration stands (amounts scaled so that there is about 1 kg of water)."""

    all: Row  # every number below, in this order
    lam: Row  # [C] ln activity of components
    lnm: Row  # [S]
    mol: Row  # [S] molality
    solid: Row  # [N] mol
    fugacity: Row  # [G] bar
    gas: Row  # [G] mol
    one: Row  # [5] ln water mass, gas mol, pressure bar, share of Pitzer's model, iterations


class Frame(structref.StructRefProxy):  # type: ignore[misc]
    """Which rows take part, and room to work."""

    comp: IntRow  # [C] components present
    spec: IntRow  # [S] species that can be present
    gas: IntRow  # [G]
    active: IntRow  # [N] solids said to be present
    count: IntRow  # [7] number of comp, spec, gas, active; gas phase 0/1; majors; far balances
    total: Row  # [C]
    response: Grid  # [S, C+1] d ln m: constant, then by ln activity
    small: Grid  # [S, S+C+1]
    matrix: Grid  # [C+N+2, C+N+3]
    weight: Grid  # [C, 4] row weight of positive and negative terms, their sums
    delta: Row  # [S]
    move: Row  # [C]


class PointStruct(types.StructRef):  # type: ignore[misc]
    """Numba's name for Point."""


class FrameStruct(types.StructRef):  # type: ignore[misc]
    """Numba's name for Frame."""


POINT = record(PointStruct, Point)
FRAME = record(FrameStruct, Frame)


@compiled
def eliminate(a: Floats, n: int, width: int) -> bool:
    """Gauss elimination with row pivots on a[:n, :width]; the last columns become solutions."""
    for k in range(n):
        p = k
        for i in range(k + 1, n):
            if abs(a[i, k]) > abs(a[p, k]):
                p = i
        if not abs(a[p, k]) > 1e-13:
            return False
        if p != k:
            for j in range(k, width):
                a[k, j], a[p, j] = a[p, j], a[k, j]
        inverse = 1.0 / a[k, k]
        for i in range(k + 1, n):
            f = a[i, k] * inverse
            if f != 0.0:
                for j in range(k + 1, width):
                    a[i, j] -= f * a[k, j]
    for k in range(n - 1, -1, -1):
        inverse = 1.0 / a[k, k]
        for j in range(n, width):
            total = a[k, j]
            for i in range(k + 1, n):
                total -= a[k, i] * a[i, j]
            a[k, j] = total * inverse
    return True


@compiled
def pick_majors(now: Now, point: Point) -> int:
    """List the species that matter to the activities of the others."""
    mol, place, major = point.mol, now.place, now.major
    total = 0.0
    for m in mol:
        total += m
    count = 0
    for s in range(len(mol)):
        place[s] = -1
        if mol[s] > _MAJOR * total:
            place[s] = count
            major[count] = s
            count += 1
    return count


@compiled
def fugacities(chem: Chem, now: Now, frame: Frame, point: Point) -> float:
    """Sum of the gases' fugacities, bar; fills point.fugacity."""
    gas, comp, lam, nu, fugacity = (frame.gas, frame.comp, point.lam, chem.gas_nu, point.fugacity)
    count = frame.count[0]
    total = 0.0
    for n in range(frame.count[2]):
        g = gas[n]
        ln_f = now.gas_lnk[g]
        for c in range(count):
            ln_f += nu[g, comp[c]] * lam[comp[c]]
        fugacity[g] = np.exp(min(ln_f, 200.0))
        total += fugacity[g]
    return total


@compiled
def _respond(chem: Chem, now: Now, frame: Frame, point: Point) -> bool:
    """How every ln molality answers a change of the components' ln activities."""
    nc, ns, nj = frame.count[0], frame.count[1], frame.count[5]
    r, a, comp, spec = frame.response, frame.small, frame.comp, frame.spec
    mol, bend, major, place = point.mol, now.bend, now.major, now.place
    lnk, lnm, lng, lam, all_nu = now.lnk, point.lnm, now.lng, point.lam, chem.nu
    for n in range(ns):
        s = spec[n]
        gap = lnk[s] - lnm[s] - lng[s]
        for c in range(nc):
            nu = all_nu[s, comp[c]]
            r[s, c + 1] = nu
            gap += nu * lam[comp[c]]
        r[s, 0] = gap
    for i in range(nj):
        s = major[i]
        for j in range(nj):
            a[i, j] = bend[j, s] * mol[major[j]]
        a[i, i] += 1.0
        for c in range(nc + 1):
            a[i, nj + c] = r[s, c]
    if not eliminate(a, nj, nj + nc + 1):
        return False
    for n in range(ns):
        s = spec[n]
        if place[s] >= 0:
            for c in range(nc + 1):
                r[s, c] = a[place[s], nj + c]
        else:
            for j in range(nj):
                pull = bend[j, s] * mol[major[j]]
                for c in range(nc + 1):
                    r[s, c] -= pull * a[j, nj + c]
    return True


@compiled
def _weigh(chem: Chem, frame: Frame, point: Point) -> None:
    """Weights of each balance's terms and the side it must move to."""
    nc, ns, nk = frame.count[0], frame.count[1], frame.count[3]
    ng = frame.count[2] if frame.count[4] == 1 else 0
    comp, spec, active, gas = frame.comp, frame.spec, frame.active, frame.gas
    mol, solid, fugacity = point.mol, point.solid, point.fugacity
    nu, solid_nu, gas_nu = chem.nu, chem.solid_nu, chem.gas_nu
    water = np.exp(point.one[0])
    per_bar = point.one[1] / point.one[2]
    w, totals = frame.weight, frame.total
    w[:nc, 2:] = 0.0
    frame.count[6] = 0
    w[0, 2] = water / WATER_MASS
    for c in range(nc):
        j = comp[c]
        for n in range(ns):
            _tally(w, c, water * mol[spec[n]] * nu[spec[n], j])
        for n in range(nk):
            _tally(w, c, solid[active[n]] * solid_nu[active[n], j])
        for n in range(ng):
            _tally(w, c, per_bar * fugacity[gas[n]] * gas_nu[gas[n], j])
        plus, minus, total = w[c, 2], w[c, 3], totals[j]
        now, aim = (plus, total + minus) if total >= 0.0 else (minus, plus - total)
        if now > 0.0 and (now > 2.0 * aim or aim > 2.0 * now) and aim > 0.0:
            near, far = 1.0 / now, 1.0 / aim
            w[c, 0], w[c, 1] = (near, far) if total >= 0.0 else (far, near)
            w[c, 2] = np.log(aim / now) * (1.0 if total >= 0.0 else -1.0)
            frame.count[6] += 1
        else:
            scale = 1.0 / max(plus, minus, abs(total), 1e-300)
            w[c, 0] = w[c, 1] = scale
            w[c, 2] = (total - plus + minus) * scale


@compiled
def _tally(w: Floats, c: int, amount: float) -> None:
    if amount > 0.0:
        w[c, 2] += amount
    else:
        w[c, 3] -= amount


@compiled
def _balances(chem: Chem, frame: Frame, point: Point) -> None:
    """Rows 1..C of the matrix: the linearised mass balances."""
    nc, ns, nk = frame.count[0], frame.count[1], frame.count[3]
    a, w, r = frame.matrix, frame.weight, frame.response
    comp, spec, active, mol = frame.comp, frame.spec, frame.active, point.mol
    all_nu, solid_nu, solid = chem.nu, chem.solid_nu, point.solid
    last = nc + 1 + nk + frame.count[4]
    water = np.exp(point.one[0])
    for c in range(nc):
        row = c + 1
        j = comp[c]
        a[row, last] = w[c, 2]
        if c == 0:
            a[row, nc] += water / WATER_MASS * w[c, 0]
        for n in range(ns):
            s = spec[n]
            if all_nu[s, j] != 0.0:
                amount = water * mol[s] * all_nu[s, j]
                amount *= w[c, 0] if amount > 0.0 else w[c, 1]
                a[row, nc] += amount
                a[row, last] -= amount * r[s, 0]
                for k in range(nc):
                    a[row, k] += amount * r[s, k + 1]
        for n in range(nk):
            k = active[n]
            nu = solid_nu[k, j]
            positive = nu * solid[k] > 0.0 or (solid[k] == 0.0 and nu > 0.0)
            a[row, nc + 1 + n] = nu * (w[c, 0] if positive else w[c, 1])
        if frame.count[4] == 1:
            _gas_terms(chem, frame, point, row, j)


@compiled
def _gas_terms(chem: Chem, frame: Frame, point: Point, row: int, j: int) -> None:
    nc = frame.count[0]
    a, w = frame.matrix, frame.weight
    for n in range(frame.count[2]):
        g = frame.gas[n]
        nu = chem.gas_nu[g, j]
        if nu != 0.0:
            share = point.fugacity[g] / point.one[2] * nu
            share *= w[row - 1, 0] if nu * max(point.one[1], 1e-30) > 0.0 else w[row - 1, 1]
            a[row, nc + 1 + frame.count[3]] += share
            for k in range(nc):
                a[row, k] += point.one[1] * share * chem.gas_nu[g, frame.comp[k]]


@compiled
def _assemble(chem: Chem, now: Now, frame: Frame, point: Point, ln_water: float) -> int:
    """The whole linear system; its order."""
    nc, nk = frame.count[0], frame.count[3]
    order = nc + 1 + nk + frame.count[4]
    a, r, spec, comp = frame.matrix, frame.response, frame.spec, frame.comp
    water, mol, lam = now.water, point.mol, point.lam
    a[: order + 1, : order + 1] = 0.0
    a[0, 0] = 1.0
    a[0, order] = ln_water - lam[0]
    for n in range(frame.count[1]):
        s = spec[n]
        pull = water[s] * mol[s]
        a[0, order] += pull * r[s, 0]
        for k in range(nc):
            a[0, k] -= pull * r[s, k + 1]
    sum_f = fugacities(chem, now, frame, point) if frame.count[4] == 1 else 0.0
    _weigh(chem, frame, point)
    _balances(chem, frame, point)
    for n in range(nk):
        k = frame.active[n]
        a[nc + 1 + n, order] = now.solid_lnk[k]
        for c in range(nc):
            nu = chem.solid_nu[k, comp[c]]
            a[nc + 1 + n, c] = nu
            a[nc + 1 + n, order] -= nu * lam[comp[c]]
    if frame.count[4] == 1:
        a[order - 1, order] = np.log(point.one[2] / sum_f)
        for n in range(frame.count[2]):
            g = frame.gas[n]
            for c in range(nc):
                nu = chem.gas_nu[g, frame.comp[c]]
                a[order - 1, c] += point.fugacity[g] / sum_f * nu
    return order


@compiled
def _apply(chem: Chem, frame: Frame, point: Point, order: int) -> float:
    """Take the step, damped when long; its largest change of a logarithm before damping."""
    nc, ns, nk = frame.count[0], frame.count[1], frame.count[3]
    a, r, spec, delta = frame.matrix, frame.response, frame.spec, frame.delta
    lnm, mol = point.lnm, point.mol
    largest = limit = 0.0
    for n in range(ns):
        s = spec[n]
        step = r[s, 0]
        for c in range(nc):
            step += r[s, c + 1] * a[c, order]
        delta[s] = step
        largest = max(largest, abs(step))
        highest = max(lnm[s], lnm[s] + step)
        if highest > _TRACE:
            limit = max(limit, abs(step) / (2.0 if highest > _MUCH else 5.0))
    dw = a[nc, order]
    largest = max(largest, abs(dw))
    limit = max(limit, abs(dw) / 0.8)
    for c in range(nc):
        largest = max(largest, abs(a[c, order]))
        limit = max(limit, abs(a[c, order]) / 8.0)
    if not np.isfinite(largest):
        return np.inf
    tau = 1.0 if limit <= 1.0 else 1.0 / limit
    for n in range(ns):
        s = spec[n]
        lnm[s] = min(lnm[s] + tau * delta[s], 9.0)
        mol[s] = np.exp(lnm[s])
    if frame.count[6] > 0:  # a balance far off is only approached, not met, by this step
        largest = max(largest, 1.0)
    if largest < _LAST:
        _close(chem, frame, point, order)
        dw = np.log1p(dw)
    for c in range(nc):
        point.lam[frame.comp[c]] += tau * a[c, order]
    point.one[0] += tau * dw
    for n in range(nk):
        point.solid[frame.active[n]] += tau * a[nc + 1 + n, order]
    if frame.count[4] == 1:
        point.one[1] += tau * a[order - 1, order]
    return largest


@compiled
def _close(chem: Chem, frame: Frame, point: Point, order: int) -> None:
    """Redo the last step linearly in amounts, so that the balances hold to rounding."""
    nc = frame.count[0]
    a, mol = frame.matrix, point.mol
    dw = a[nc, order]
    for n in range(frame.count[1]):
        s = frame.spec[n]
        step = frame.delta[s]
        mol[s] *= np.exp(-step) * (1.0 + step + dw) / (1.0 + dw)
        point.lnm[s] = np.log(mol[s]) if mol[s] > 0.0 else -700.0
    if frame.count[4] == 1:
        for n in range(frame.count[2]):
            g = frame.gas[n]
            step = 0.0
            for c in range(nc):
                step += chem.gas_nu[g, frame.comp[c]] * a[c, order]
            mole = point.one[1] * (1.0 + step) + a[order - 1, order]
            point.gas[g] = point.fugacity[g] / point.one[2] * mole


@compiled
def solve_assemblage(chem: Chem, now: Now, frame: Frame, point: Point) -> int:
    """Bring `point` to equilibrium with the phases listed in `frame`; a status code."""
    start = point.one[0]
    for _ in range(_STEPS):
        point.one[4] += 1.0
        frame.count[5] = pick_majors(now, point)
        ln_water = activities(chem, now, point.mol, frame.count[5], point.one[3])
        if not _respond(chem, now, frame, point):
            return LOST
        order = _assemble(chem, now, frame, point, ln_water)
        if not eliminate(frame.matrix, order, order + 1):
            return SINGULAR
        largest = _apply(chem, frame, point, order)
        if largest == np.inf:
            return LOST
        if largest < _LAST:
            return SOLVED
        if point.one[0] < min(start, 0.0) + _DRY:
            return DRY
    return LOST
