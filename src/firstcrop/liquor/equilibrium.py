"""Equilibrium of component amounts at a temperature or an enthalpy: the kernel Python calls."""

from __future__ import annotations

import numpy as np

from firstcrop.laws.bates_guggenheim_1960 import log10_gamma_chloride
from firstcrop.liquor.bulk import properties
from firstcrop.liquor.compiled import compiled, entry
from firstcrop.liquor.found import (
    CODE,
    DRY,
    ENTHALPY,
    HEAT_CAPACITY,
    ITERATIONS,
    LN_WATER,
    LOST,
    NEGATIVE,
    NO_WATER,
    OUT_OF_RANGE,
    PH,
    PRESSURE,
    RESIDUAL,
    SOLVED,
    STRENGTH,
    TEMPERATURE,
    UNBALANCED,
    WATER,
    Found,
    between,
    new_found,
)
from firstcrop.liquor.heat import (
    CLOSE,
    HIGH,
    JUMP,
    LOW,
    TRIES,
    new_search,
    next_temperature,
    share_across,
)
from firstcrop.liquor.newton import Frame, Point, fugacities
from firstcrop.liquor.pack import Bulk, Chem
from firstcrop.liquor.phases import saturation, solve_phases
from firstcrop.liquor.pitzer import WATER_MASS, Now, at_temperature, prepare
from firstcrop.liquor.start import by_mass_action, make_frame, make_point, warm_start
from firstcrop.liquor.system import Floats

T0 = 298.15  # K
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
    heat: Floats,
) -> Floats:
    """The equilibrium of `amounts` [C] mol at `pressure` Pa, as the row of numbers laid out in
    found.py; `guess` is such a row, or empty. `shift`: added to the solids' ln K [N], or empty.
    `heat` empty: at `temperature` K. Else the enthalpy J that the liquor and inert matter hold
    together, and of the inert matter J at 298.15 K and J/K: at the temperature where they do.
    """
    start = found = low = high = new_found(chem, guess)
    code = _acceptable(amounts)
    now, search = prepare(chem), new_search()
    scale = 1.0 / (WATER_MASS * amounts[0])
    frame, point = make_frame(chem, amounts, scale), make_point(chem, pressure)
    t = temperature
    for n in range(TRIES):
        found = new_found(chem, guess[:0])
        found.one[TEMPERATURE], found.one[PRESSURE], found.one[CODE] = t, pressure, code
        if code == SOLVED:
            at_temperature(chem, now, t)
            for k in range(len(shift)):
                now.solid_lnk[k] += shift[k]
            _settle(chem, bulk, now, frame, point, amounts, start, scale, found)
        if len(heat) == 0 or (found.one[CODE] != SOLVED and found.one[CODE] != DRY):
            return found.all
        capacity = found.bulk[HEAT_CAPACITY] + heat[2]
        gap = found.bulk[ENTHALPY] + heat[1] + heat[2] * (t - T0) - heat[0]
        if abs(gap) <= CLOSE * capacity:
            return found.all
        low, high = (found, high) if gap < 0.0 else (low, found)
        t, start = next_temperature(search, t, gap, capacity, n), found
        if search[HIGH] - search[LOW] < JUMP:
            break
    share = share_across(search)
    if np.isfinite(share):
        return between(low, high, share).all
    found.one[CODE] = OUT_OF_RANGE
    return found.all


@compiled
def _settle(
    chem: Chem,
    bulk: Bulk,
    now: Now,
    frame: Frame,
    point: Point,
    amounts: Floats,
    start: Found,
    scale: float,
    found: Found,
) -> None:
    """Fill `found`, whose temperature and pressure are set, starting near `start`."""
    code = DRY
    warm = start.one[WATER] > 0.0
    for _ in range(2):
        point.one[2] = 1e-5 * found.one[PRESSURE]
        if warm:
            _take_guess(chem, now, frame, point, start, scale)
        code = solve_phases(chem, now, frame, point, warm)
        if code == SOLVED and _overdrawn(chem, frame, point):
            code = LOST
        if code == SOLVED or not warm:
            break
        warm = False
    found.one[CODE] = UNBALANCED if code == SOLVED and _stray_charge(chem, amounts) else code
    _report(chem, now, frame, point, scale, found)
    properties(bulk, amounts, found)


@compiled
def _overdrawn(chem: Chem, frame: Frame, point: Point) -> bool:
    """Whether crystals hold more of a component than there is (a false solution)."""
    over = False
    for n in range(2, frame.count[0]):
        j = frame.comp[n]
        held = 0.0
        for k in range(frame.count[3]):
            held += point.solid[frame.active[k]] * chem.solid_nu[frame.active[k], j]
        over = over or held > frame.total[j] * (1.0 + 1e-9)
    return over


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
    frame.count[3] = frame.count[4] = 0
    water = min(max(guess.one[WATER] * scale, 1e-3), 2.0)
    warm_start(chem, now, frame, point, guess.lam, guess.mol, water)
    for k in range(len(guess.solid)):
        point.solid[k] = 0.0
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
