"""Equilibrium at fixed temperature, pressure and component amounts: the kernel behind `solve`."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from firstcrop.laws.bates_guggenheim_1960 import log10_gamma_chloride
from firstcrop.liquor.compiled import compiled, entry
from firstcrop.liquor.newton import CONVERGED, DRY, Frame, Point, fugacities, pick_majors
from firstcrop.liquor.pack import Chem
from firstcrop.liquor.phases import saturation, solve_phases
from firstcrop.liquor.pitzer import WATER_MASS, Now, activities, at_temperature, prepare
from firstcrop.liquor.start import make_frame, make_point, warm_start
from firstcrop.liquor.system import Floats

NO_WATER = 4
NEGATIVE = 5


class Found(NamedTuple):
    """An equilibrium as arrays; amounts are those asked for, nothing is scaled."""

    lam: Floats  # [C] ln activity, -inf where absent
    mol: Floats  # [S] mol/kg
    lng: Floats  # [S] ln gamma, also of absent species (their trace value)
    solid: Floats  # [N] mol
    over: Floats  # [N] ln(Q/K)
    gas: Floats  # [G] mol
    fugacity: Floats  # [G] bar
    one: Floats  # [9] see below


# Found.one: temperature, pressure, water kg, ln a_w, pH, ionic strength, residual, iterations, code
TEMPERATURE, PRESSURE, WATER, LN_WATER, PH, STRENGTH, RESIDUAL, ITERATIONS, CODE = range(9)


@entry
def empty_found(chem: Chem) -> Found:
    """A record to be filled, and the guess that says nothing (water 0)."""
    return Found(
        np.full(len(chem.charge), -np.inf),
        np.zeros(len(chem.z)),
        np.zeros(len(chem.z)),
        np.zeros(len(chem.solid_nu)),
        np.full(len(chem.solid_nu), -np.inf),
        np.zeros(len(chem.gas_nu)),
        np.zeros(len(chem.gas_nu)),
        np.zeros(9),
    )


@compiled
def find(
    chem: Chem, now: Now, temperature: float, pressure: float, amounts: Floats, guess: Found
) -> Found:
    """The equilibrium of `amounts` [C] mol at `temperature` K and `pressure` Pa."""
    found = empty_found(chem)
    found.one[TEMPERATURE], found.one[PRESSURE] = temperature, pressure
    found.one[PH] = found.one[LN_WATER] = np.nan
    for j in range(2, len(amounts)):
        if not amounts[j] >= 0.0:
            found.one[CODE] = NEGATIVE
            return found
    if not amounts[0] > 0.0:
        found.one[CODE] = NO_WATER
        return found
    if now.known[1] != temperature:
        at_temperature(chem, now, temperature)
    scale = 1.0 / (WATER_MASS * amounts[0])
    total = amounts * scale
    largest = np.max(np.abs(total))
    for j in range(2, len(total)):
        if total[j] < 1e-25 * largest:
            total[j] = 0.0
    frame = make_frame(chem, total)
    point = make_point(chem, pressure)
    code = DRY
    warm = guess.one[WATER] > 0.0
    if warm:
        _take_guess(chem, now, frame, point, guess, scale)
        code = solve_phases(chem, now, frame, point, True)
    if code != CONVERGED:
        code = solve_phases(chem, now, frame, point, False)
    found.one[CODE] = code
    _report(chem, now, frame, point, scale, found)
    return found


@compiled
def _take_guess(
    chem: Chem, now: Now, frame: Frame, point: Point, guess: Found, scale: float
) -> None:
    water = min(max(guess.one[WATER] * scale, 1e-3), 2.0)
    warm_start(chem, now, frame, point, guess.lam, guess.mol, water)
    for k in range(len(guess.solid)):
        known = saturation(chem, now, frame, point, k)
        if guess.solid[k] > 0.0 and np.isfinite(known):
            frame.active[frame.count[3]] = k
            frame.count[3] += 1
            point.solid[k] = guess.solid[k] * scale
    gas = np.sum(guess.gas)
    if gas > 0.0:
        frame.count[4] = 1
        point.one[1] = gas * scale


@compiled
def _report(
    chem: Chem, now: Now, frame: Frame, point: Point, scale: float, found: Found
) -> None:
    """Fill `found` from the converged (or last) point."""
    one = found.one
    for n in range(frame.count[0]):
        j = frame.comp[n]
        found.lam[j] = point.lam[j]
    found.mol[:] = point.mol
    majors = pick_majors(now, point)
    one[LN_WATER] = activities(chem, now, point.mol, majors, False, 1.0)
    found.lng[:] = now.lng
    one[STRENGTH] = np.sum(chem.half * point.mol)
    one[WATER] = np.exp(point.one[0]) / scale
    one[ITERATIONS] = point.one[4]
    chloride = int(chem.limits[1])
    if chloride >= 0:
        acid = np.log(point.mol[0]) + now.lng[0] + now.lng[chloride]
        one[PH] = -acid / np.log(10.0) + log10_gamma_chloride(one[STRENGTH], now.known[0])
    sum_f = fugacities(chem, now, frame, point)
    found.fugacity[:] = point.fugacity
    if frame.count[4] == 1:
        found.gas[:] = point.fugacity * (point.one[1] / sum_f / scale)
    found.solid[:] = point.solid / scale
    for k in range(len(found.over)):
        found.over[k] = saturation(chem, now, frame, point, k)
    one[RESIDUAL] = _residual(chem, frame, found, scale)


@compiled
def _residual(chem: Chem, frame: Frame, found: Found, scale: float) -> float:
    """Largest gap of a component's balance over the sum of its terms' sizes."""
    worst = 0.0
    for n in range(frame.count[0]):
        j = frame.comp[n]
        water = found.one[WATER]
        total = -frame.total[j] / scale
        size = abs(total)
        if j == 0:
            total += water / WATER_MASS
            size += water / WATER_MASS
        for s in range(len(found.mol)):
            term = water * found.mol[s] * chem.nu[s, j]
            total += term
            size += abs(term)
        for k in range(len(found.solid)):
            term = found.solid[k] * chem.solid_nu[k, j]
            total += term
            size += abs(term)
        for g in range(len(found.gas)):
            term = found.gas[g] * chem.gas_nu[g, j]
            total += term
            size += abs(term)
        worst = max(worst, abs(total) / max(size, 1e-300))
    return worst


@compiled
def find_once(
    chem: Chem, temperature: float, pressure: float, amounts: Floats, guess: Found
) -> Found:
    """`find` with its own room to work."""
    return find(chem, prepare(chem), temperature, pressure, amounts, guess)
