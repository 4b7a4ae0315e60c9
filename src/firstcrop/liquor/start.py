"""First guesses: which rows take part, and a rough ideal solution found by bisection on pH."""

from __future__ import annotations

import numpy as np
from numba.experimental import structref

from firstcrop.liquor.compiled import compiled
from firstcrop.liquor.newton import FRAME, POINT, Frame, Point
from firstcrop.liquor.pack import Chem
from firstcrop.liquor.pitzer import WATER_MASS, Now
from firstcrop.liquor.system import Floats


@compiled
def make_frame(chem: Chem, amounts: Floats, scale: float) -> Frame:
    """The rows whose components are present; H2O and H+ always are."""
    c, s = len(chem.charge), len(chem.z)
    n, g = len(chem.solid_nu), len(chem.gas_nu)
    frame = structref.new(FRAME)
    frame.comp = np.empty(c, dtype=np.int64)
    frame.spec = np.empty(s, dtype=np.int64)
    frame.gas = np.empty(g, dtype=np.int64)
    frame.active = np.empty(n, dtype=np.int64)
    frame.count = np.zeros(7, dtype=np.int64)
    frame.total = total = np.empty(c)
    frame.response = np.empty((s, c + 1))
    frame.small = np.empty((s, s + c + 1))
    frame.matrix = np.empty((c + n + 2, c + n + 3))
    frame.weight = np.empty((c, 4))
    frame.delta = np.zeros(s)
    frame.move = np.zeros(c)
    largest = 0.0
    for j in range(c):
        total[j] = amounts[j] * scale
        largest = max(largest, abs(total[j]))
    for j in range(c):
        if j >= 2 and total[j] < 1e-25 * largest:
            total[j] = 0.0
        if j < 2 or total[j] > 0.0:
            frame.comp[frame.count[0]] = j
            frame.count[0] += 1
    for i in range(s):
        if possible(chem.nu[i], total):
            frame.spec[frame.count[1]] = i
            frame.count[1] += 1
    for i in range(g):
        if possible(chem.gas_nu[i], total):
            frame.gas[frame.count[2]] = i
            frame.count[2] += 1
    return frame


@compiled
def possible(nu: Floats, total: Floats) -> bool:
    """Whether every component it needs is present."""
    found = True
    for j in range(2, len(nu)):
        found = found and (nu[j] == 0.0 or total[j] > 0.0)
    return found


@compiled
def make_point(chem: Chem, pressure: float) -> Point:
    """An empty point; pressure in Pa."""
    c, s, n, g = len(chem.charge), len(chem.z), len(chem.solid_nu), len(chem.gas_nu)
    row = np.zeros(c + 2 * s + n + 2 * g + 5)
    point = structref.new(POINT)
    point.all = row
    point.lam = row[:c]
    point.lnm = row[c : c + s]
    point.mol = row[c + s : c + 2 * s]
    point.solid = row[c + 2 * s : c + 2 * s + n]
    point.fugacity = row[c + 2 * s + n : c + 2 * s + n + g]
    point.gas = row[c + 2 * s + n + g : c + 2 * s + n + 2 * g]
    point.one = row[c + 2 * s + n + 2 * g :]
    for k in range(c + s):
        row[k] = -np.inf
    point.one[2] = pressure * 1e-5
    point.one[3] = 1.0
    return point


@compiled
def copy_point(source: Point, target: Point) -> None:
    """Copy every value of `source` but the count of iterations."""
    old, new = source.all, target.all
    for k in range(len(old) - 1):
        new[k] = old[k]


@compiled
def by_mass_action(chem: Chem, now: Now, frame: Frame, point: Point, s: int) -> float:
    """ln molality of species s from the components' activities and now.lng."""
    value = now.lnk[s] - now.lng[s]
    for n in range(frame.count[0]):
        j = frame.comp[n]
        value += chem.nu[s, j] * point.lam[j]
    return min(value, 9.0)


@compiled
def _sweep(chem: Chem, now: Now, frame: Frame, point: Point) -> float:
    """Rescale every component but H2O and H+ to its total; the H+ found less its total."""
    water = np.exp(point.one[0])
    found = frame.move
    for _ in range(5):
        for j in range(len(found)):
            found[j] = 0.0
        for n in range(frame.count[1]):
            s = frame.spec[n]
            m = np.exp(by_mass_action(chem, now, frame, point, s))
            for j in range(1, len(found)):
                nu = chem.nu[s, j]
                if j == 1 or nu > 0.0:
                    found[j] += water * m * nu
        for n in range(2, frame.count[0]):
            j = frame.comp[n]
            change = np.log(frame.total[j] / max(found[j], 1e-300))
            point.lam[j] += min(max(change, -6.0), 6.0)
    return float(found[1] - frame.total[1])


@compiled
def _forget(now: Now) -> None:
    lng = now.lng
    for s in range(len(lng)):
        lng[s] = 0.0


@compiled
def cold_start(chem: Chem, now: Now, frame: Frame, point: Point) -> None:
    """A rough ideal solution without solids or gas."""
    total = frame.total
    _forget(now)
    water = total[0] + min(0.0, total[1])
    point.one[0] = np.log(WATER_MASS * max(water, 0.05 * total[0]))
    point.one[1] = 0.0
    solid = point.solid
    for k in range(len(solid)):
        solid[k] = 0.0
    frame.count[3] = frame.count[4] = 0
    for n in range(frame.count[0]):
        j = frame.comp[n]
        point.lam[j] = 0.0 if j == 0 else np.log(max(total[j], 1e-30)) - point.one[0]
    low, high = -46.0, 7.0
    for _ in range(18):
        point.lam[1] = 0.5 * (low + high)
        if _sweep(chem, now, frame, point) > 0.0:
            high = point.lam[1]
        else:
            low = point.lam[1]
    for n in range(frame.count[1]):
        s = frame.spec[n]
        point.lnm[s] = by_mass_action(chem, now, frame, point, s)
        point.mol[s] = np.exp(point.lnm[s])


@compiled
def warm_start(
    chem: Chem, now: Now, frame: Frame, point: Point, lam: Floats, mol: Floats, water: float
) -> None:
    """Begin from another state's ln activities [C], molalities [S] and water (scaled kg)."""
    point.one[0] = np.log(water)
    _forget(now)
    for n in range(frame.count[0]):
        j = frame.comp[n]
        known = np.isfinite(lam[j])
        point.lam[j] = lam[j] if known else np.log(max(frame.total[j], 1e-30)) - point.one[0]
    for n in range(frame.count[1]):
        s = frame.spec[n]
        if mol[s] > 0.0:
            point.lnm[s] = np.log(mol[s])
        else:
            point.lnm[s] = by_mass_action(chem, now, frame, point, s)
        point.mol[s] = np.exp(point.lnm[s])
