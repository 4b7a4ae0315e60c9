"""Equilibrium at fixed temperature, pressure and component amounts: the kernel Python calls."""

from __future__ import annotations

import numpy as np

from firstcrop.laws.bates_guggenheim_1960 import log10_gamma_chloride
from firstcrop.liquor.bulk import properties
from firstcrop.liquor.compiled import compiled, entry
from firstcrop.liquor.found import (
    CODE,
    DRY,
    ITERATIONS,
    LN_WATER,
    NEGATIVE,
    NO_WATER,
    PH,
    PRESSURE,
    RESIDUAL,
    SOLVED,
    STRENGTH,
    TEMPERATURE,
    UNBALANCED,
    WATER,
    Found,
    new_found,
)
from firstcrop.liquor.newton import Frame, Point, fugacities
from firstcrop.liquor.pack import Bulk, Chem
from firstcrop.liquor.phases import saturation, solve_phases
from firstcrop.liquor.pitzer import WATER_MASS, Now, at_temperature, prepare
from firstcrop.liquor.start import by_mass_action, make_frame, make_point, warm_start
from firstcrop.liquor.system import Floats

_NEUTRAL = 1e-7  # relative imbalance of charge that rounding of amounts may leave


@entry
def solve(
    chem: Chem,
    bulk: Bulk,
    temperature: float,
    pressure: float,
    amounts: Floats,
    guess: Floats,
    shift: Floats,
) -> Floats:
    """The equilibrium of `amounts` [C] mol at `temperature` K and `pressure` Pa, as the row of
    numbers laid out in found.py; `guess` is such a row, or empty. `shift`: added to the solids'
    ln K [N], or empty.
    """
    found, start = new_found(chem, guess[:0]), new_found(chem, guess)
    found.one[TEMPERATURE], found.one[PRESSURE] = temperature, pressure
    found.one[CODE] = _acceptable(amounts)
    if found.one[CODE] != SOLVED:
        return found.all
    now = prepare(chem)
    at_temperature(chem, now, temperature)
    for k in range(len(shift)):
        now.solid_lnk[k] += shift[k]
    scale = 1.0 / (WATER_MASS * amounts[0])
    frame = make_frame(chem, amounts, scale)
    point = make_point(chem, pressure)
    code = DRY
    warm = start.one[WATER] > 0.0
    for _ in range(2):
        if warm:
            _take_guess(chem, now, frame, point, start, scale)
        code = solve_phases(chem, now, frame, point, warm)
        if code == SOLVED or not warm:
            break
        warm = False
    found.one[CODE] = UNBALANCED if code == SOLVED and _stray_charge(chem, amounts) else code
    _report(chem, now, frame, point, scale, found)
    properties(bulk, amounts, found)
    return found.all


@compiled
def _acceptable(amounts: Floats) -> int:
    for j in range(2, len(amounts)):
        if not amounts[j] >= 0.0:
            return NEGATIVE
    return SOLVED if amounts[0] > 0.0 else NO_WATER


@compiled
def _stray_charge(chem: Chem, amounts: Floats) -> bool:
    total = size = 0.0
    for j in range(len(amounts)):
        total += chem.charge[j] * amounts[j]
        size += abs(chem.charge[j] * amounts[j])
    return abs(total) > _NEUTRAL * size


@compiled
def _take_guess(
    chem: Chem, now: Now, frame: Frame, point: Point, guess: Found, scale: float
) -> None:
    point.one[1] = 0.0
    water = min(max(guess.one[WATER] * scale, 1e-3), 2.0)
    warm_start(chem, now, frame, point, guess.lam, guess.mol, water)
    for k in range(len(guess.solid)):
        if guess.solid[k] > 0.0 and np.isfinite(saturation(chem, now, frame, point, k)):
            frame.active[frame.count[3]] = k
            frame.count[3] += 1
            point.solid[k] = guess.solid[k] * scale
    for mole in guess.gas:
        if mole > 0.0:
            frame.count[4] = 1
            point.one[1] += mole * scale


@compiled
def _report(chem: Chem, now: Now, frame: Frame, point: Point, scale: float, found: Found) -> None:
    """Fill `found` from the converged (or last) point."""
    one = found.one
    lam, mol, lng = found.lam, found.mol, found.lng
    gas, fugacity, solid, over = found.gas, found.fugacity, found.solid, found.over
    for n in range(frame.count[0]):
        lam[frame.comp[n]] = point.lam[frame.comp[n]]
    one[LN_WATER] = point.lam[0]
    one[ITERATIONS] = point.one[4]
    one[WATER] = np.exp(point.one[0]) / scale
    fugacities(chem, now, frame, point)
    for g in range(len(gas)):
        fugacity[g] = point.fugacity[g]
        gas[g] = point.gas[g] / scale if frame.count[4] == 1 else 0.0
    for k in range(len(over)):
        over[k] = saturation(chem, now, frame, point, k)
    for n in range(frame.count[3]):
        solid[frame.active[n]] = point.solid[frame.active[n]] / scale
    for s in range(len(mol)):
        lng[s] = now.lng[s]
        if point.mol[s] > 0.0:  # exact by mass action; now.lng is that of the last step but one
            lng[s] = by_mass_action(chem, now, frame, point, s) + now.lng[s] - point.lnm[s]
        mol[s] = point.mol[s] if one[WATER] > 0.0 else 0.0
        one[STRENGTH] += chem.half[s] * mol[s]
    chloride = int(chem.limits[1])
    if chloride >= 0 and one[WATER] > 0.0:
        acid = np.log(mol[0]) + lng[0] + lng[chloride]
        one[PH] = -acid / np.log(10.0) + log10_gamma_chloride(one[STRENGTH], now.known[0])
    one[RESIDUAL] = _residual(chem, frame, found, scale)


@compiled
def _residual(chem: Chem, frame: Frame, found: Found, scale: float) -> float:
    """Largest gap of a component's balance over the sum of its terms' sizes."""
    worst = 0.0
    water = found.one[WATER]
    mol, solid, gas = found.mol, found.solid, found.gas
    nu, solid_nu, gas_nu = chem.nu, chem.solid_nu, chem.gas_nu
    for n in range(frame.count[0]):
        j = frame.comp[n]
        total = -frame.total[j] / scale
        size = abs(total)
        if j == 0:
            total += water / WATER_MASS
            size += water / WATER_MASS
        for s in range(len(mol)):
            term = water * mol[s] * nu[s, j]
            total += term
            size += abs(term)
        for k in range(len(solid)):
            term = solid[k] * solid_nu[k, j]
            total += term
            size += abs(term)
        for g in range(len(gas)):
            term = gas[g] * gas_nu[g, j]
            total += term
            size += abs(term)
        worst = max(worst, abs(total) / max(size, 1e-300))
    return worst
