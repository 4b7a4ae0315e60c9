"""Which solids, and whether gas: phases join by largest supersaturation and leave when spent.

A phase whose composition is a sum of phases already there cannot simply join (the amounts would
be undetermined); it takes the place of the one that runs out first, as in linear programming.
"""

from __future__ import annotations

import numpy as np

from firstcrop.liquor.compiled import compiled
from firstcrop.liquor.found import DRY, LOST, SOLVED
from firstcrop.liquor.newton import Frame, Point, eliminate, fugacities, solve_assemblage
from firstcrop.liquor.pack import Chem
from firstcrop.liquor.pitzer import WATER_MASS, Now
from firstcrop.liquor.start import cold_start, copy_point, make_point, possible
from firstcrop.liquor.system import Floats, Ints

_JOIN = 1e-9  # supersaturation ln(Q/K) at which a phase joins
_ROUNDS = 120
_GAS, _SOLUTION, _NOTHING = -2, -1, -3  # phases that are not a numbered solid


@compiled
def saturation(chem: Chem, now: Now, frame: Frame, point: Point, k: int) -> float:
    """ln(Q/K) of solid k; -inf when a component is absent, NaN when K is not known here."""
    if not possible(chem.solid_nu[k], frame.total):
        return -np.inf
    ln_q = -now.solid_lnk[k]
    for n in range(frame.count[0]):
        j = frame.comp[n]
        ln_q += chem.solid_nu[k, j] * point.lam[j]
    return float(ln_q)


@compiled
def _nobody() -> int:
    """No phase, as a plain number (a constant would be compiled for separately)."""
    return np.int64(0) + _NOTHING  # type: ignore[return-value]


@compiled
def _is_active(frame: Frame, k: int) -> bool:
    found = False
    for n in range(frame.count[3]):
        found = found or frame.active[n] == k
    return found


@compiled
def join(frame: Frame, point: Point, k: int) -> None:
    """Let phase k be present, at amount zero."""
    if k == _GAS:
        frame.count[4] = 1
        point.one[1] = 0.0
    else:
        frame.active[frame.count[3]] = k
        frame.count[3] += 1
        point.solid[k] = 0.0


@compiled
def leave(frame: Frame, point: Point, k: int) -> None:
    """Take phase k away."""
    if k == _GAS:
        frame.count[4] = 0
        point.one[1] = 0.0
        return
    kept = 0
    for n in range(frame.count[3]):
        if frame.active[n] != k:
            frame.active[kept] = frame.active[n]
            kept += 1
    frame.count[3] = kept
    point.solid[k] = 0.0


@compiled
def _most_negative(frame: Frame, point: Point) -> int:
    worst, found = 0.0, _NOTHING
    for n in range(frame.count[3]):
        k = frame.active[n]
        if point.solid[k] < worst:
            worst, found = point.solid[k], k
    if frame.count[4] == 1 and point.one[1] < worst:
        found = _GAS
    return found


@compiled
def _most_supersaturated(chem: Chem, now: Now, frame: Frame, point: Point, returns: Floats) -> int:
    """The phase to add; one that came back often waits until it is the only one left."""
    best, found, patience = _JOIN, _NOTHING, 1e9
    for k in range(len(point.solid)):
        if _is_active(frame, k):
            continue
        over = saturation(chem, now, frame, point, k)
        tired = np.floor(returns[k] / 3.0)
        if over > _JOIN and (tired < patience or (tired == patience and over > best)):
            best, found, patience = over, k, tired
    if frame.count[4] == 0:
        over = np.log(fugacities(chem, now, frame, point) / point.one[2])
        if over > _JOIN and over > best:
            found = _GAS
    return found


@compiled
def _column(chem: Chem, now: Now, frame: Frame, point: Point, k: int, out: Floats) -> None:
    """Component amounts in a kilogram of water's solution, a mole of solid, a mole of gas."""
    for j in range(len(out)):
        out[j] = chem.solid_nu[k, j] if k >= 0 else 0.0
    if k == _SOLUTION:
        out[0] = 1.0 / WATER_MASS
        for s in range(len(chem.nu)):
            for j in range(len(out)):
                out[j] += point.mol[s] * chem.nu[s, j]
    elif k == _GAS:
        sum_f = fugacities(chem, now, frame, point)
        for g in range(len(chem.gas_nu)):
            for j in range(len(out)):
                out[j] += point.fugacity[g] / sum_f * chem.gas_nu[g, j]


@compiled
def _sum_of(a: Floats, i: int, j: int) -> float:
    total = 0.0
    for c in range(a.shape[1]):
        total += a[i, c] * a[j, c]
    return total


@compiled
def replaced_by(
    chem: Chem, now: Now, frame: Frame, point: Point, new: int, who: Ints, rate: Floats
) -> tuple[int, float, float]:
    """The phase that runs out when `new` forms from the others, the moles of `new` that takes,
    and the misfit of that sum (large when `new` is independent of the others).

    Fills `who` and `rate`, the phases and what a mole of `new` takes of each.
    """
    members = frame.count[3] + 1 + frame.count[4]
    columns = np.empty((members + 1, len(frame.total)))
    amount, size = np.empty(members + 1), np.empty(members + 1)
    who[0], amount[0] = _SOLUTION, np.exp(point.one[0])
    for n in range(frame.count[3]):
        who[n + 1], amount[n + 1] = frame.active[n], point.solid[frame.active[n]]
    if frame.count[4] == 1:
        who[members - 1], amount[members - 1] = _GAS, point.one[1]
    who[members] = new
    for n in range(members + 1):
        _column(chem, now, frame, point, who[n], columns[n])
        size[n] = np.sqrt(_sum_of(columns, n, n))
        for c in range(columns.shape[1]):
            columns[n, c] /= size[n]
    normal = np.empty((members, members + 1))
    for i in range(members):
        for j in range(members + 1):
            normal[i, j] = _sum_of(columns, i, j)
    if not eliminate(normal, members, members + 1):
        return _NOTHING, 0.0, 1.0
    best, found = np.inf, _NOTHING
    for i in range(members):
        part = normal[i, members]
        rate[i] = part * size[members] / size[i]
        if part > 1e-6 and max(amount[i], 0.0) / rate[i] < best:
            best, found = max(amount[i], 0.0) / rate[i], who[i]
        for c in range(columns.shape[1]):
            columns[members, c] -= part * columns[i, c]
    return found, best, np.sqrt(_sum_of(columns, members, members))


@compiled
def _exchange(
    chem: Chem,
    now: Now,
    frame: Frame,
    point: Point,
    new: int,
    moles: float,
    who: Ints,
    rate: Floats,
) -> None:
    """Turn the whole solution (and its share of the other phases) into phase `new`."""
    point.one[0] = -np.inf
    for i in range(1, frame.count[3] + 1):
        point.solid[who[i]] -= rate[i] * moles
    if frame.count[4] == 1:
        point.one[1] -= rate[frame.count[3] + 1] * moles
    join(frame, point, new)
    if new == _GAS:
        point.one[1] = moles
    else:
        point.solid[new] = moles
    sum_f = fugacities(chem, now, frame, point)
    for g in range(len(point.gas)):
        point.gas[g] = point.fugacity[g] / sum_f * point.one[1]


@compiled
def dry_out(chem: Chem, now: Now, frame: Frame, point: Point, new: int, misfit: float) -> bool:
    """Turn the solution into phase `new` if that is what equilibrium asks, to within `misfit`."""
    who, rate = (np.empty(len(point.solid) + 3, dtype=np.int64), np.empty(len(point.solid) + 3))
    gone, moles, found = replaced_by(chem, now, frame, point, new, who, rate)
    if gone != _SOLUTION or found > misfit:
        return False
    _exchange(chem, now, frame, point, new, moles, who, rate)
    return True


@compiled
def _soften(chem: Chem, now: Now, point: Point, k: int, sharp: float, left: float) -> None:
    """Let phase k be in equilibrium at supersaturation `left`; `sharp` is its true constant."""
    if k == _GAS:
        point.one[2] = np.exp(sharp + left)
    else:
        now.solid_lnk[k] = sharp + left


@compiled
def solve_slowly(chem: Chem, now: Now, frame: Frame, point: Point, back: Point, k: int) -> int:
    """Bring newly joined phase k to saturation by small steps of its supersaturation."""
    copy_point(back, point)
    if k == _GAS:
        sharp = np.log(point.one[2])
        left = np.log(fugacities(chem, now, frame, point)) - sharp
    else:
        sharp = now.solid_lnk[k]
        left = saturation(chem, now, frame, point, k)
    step = 0.25 * left
    status = LOST
    while step > 1e-4:
        aim = max(left - step, 0.0)
        _soften(chem, now, point, k, sharp, aim)
        status = solve_assemblage(chem, now, frame, point)
        if status == SOLVED:
            left = aim
            step *= 1.5
            copy_point(point, back)
            if left == 0.0:
                break
        else:
            copy_point(back, point)
            step *= 0.3
    _soften(chem, now, point, k, sharp, 0.0)
    return status


@compiled
def solve_from_afar(chem: Chem, now: Now, frame: Frame, point: Point, back: Point, k: int) -> int:
    """Reach saturation with newly joined solid k from the other side: nearly all of it formed."""
    total, kept = frame.total, frame.total.copy()
    most = np.inf
    for j in range(len(total)):
        if chem.solid_nu[k, j] > 0.0 and j != 1:
            most = min(most, total[j] / chem.solid_nu[k, j])
    status = LOST
    for left in (0.001, 0.03, 0.2, 0.5):
        copy_point(back, point)
        leave(frame, point, k)
        for j in range(len(total)):
            total[j] = kept[j] - (1.0 - left) * most * chem.solid_nu[k, j]
        cold = frame.count[3] == 0 and frame.count[4] == 0
        if cold:
            cold_start(chem, now, frame, point)
        status = solve_assemblage(chem, now, frame, point)
        for j in range(len(total)):
            total[j] = kept[j]
        join(frame, point, k)
        if status == SOLVED:
            point.solid[k] = (1.0 - left) * most
            status = solve_assemblage(chem, now, frame, point)
        if status == SOLVED:
            break
    return status


@compiled
def solve_blended(chem: Chem, now: Now, frame: Frame, point: Point, back: Point) -> int:
    """From an ideal mixture to Pitzer's model by steps, without solids or gas."""
    cold_start(chem, now, frame, point)
    copy_point(point, back)
    share, step = 0.0, 0.25
    status = LOST
    while step > 1e-3:
        point.one[3] = share
        status = solve_assemblage(chem, now, frame, point)
        if status == SOLVED:
            copy_point(point, back)
            if share == 1.0:
                break
            share = min(share + step, 1.0)
        else:
            copy_point(back, point)
            share -= step
            if share < 0.0:
                break
            step *= 0.4
            share = min(share + step, 1.0)
    point.one[3] = 1.0
    return status


@compiled
def _admit(
    chem: Chem, now: Now, frame: Frame, point: Point, back: Point, returns: Floats
) -> tuple[int, int]:
    """Add the most supersaturated phase, if any; (phase, status: DRY when water runs out)."""
    new = _most_supersaturated(chem, now, frame, point, returns)
    if new == _NOTHING:
        return new, SOLVED
    copy_point(point, back)
    if dry_out(chem, now, frame, point, new, 1e-7):
        return new, DRY
    who, rate = (np.empty(len(point.solid) + 3, dtype=np.int64), np.empty(len(point.solid) + 3))
    gone, _, misfit = replaced_by(chem, now, frame, point, new, who, rate)
    if gone not in (_NOTHING, _SOLUTION) and misfit < 1e-3:
        leave(frame, point, gone)
    join(frame, point, new)
    if new >= 0:
        returns[new] += 1.0
    return new, SOLVED


@compiled
def _settle(chem: Chem, now: Now, frame: Frame, point: Point, back: Point, new: int) -> int:
    """Solve with the phases listed; one that has just joined is brought in with more care when
    it does not converge, or comes out negative (on the wrong branch of an unstable model).
    """
    status = solve_assemblage(chem, now, frame, point)
    if new == _NOTHING:
        return status
    if status != SOLVED:
        status = solve_slowly(chem, now, frame, point, back, new)
    if new >= 0 and (status != SOLVED or point.solid[new] < 0.0):
        status = solve_from_afar(chem, now, frame, point, back, new)
    return status


@compiled
def _retreat(
    chem: Chem, now: Now, frame: Frame, point: Point, back: Point, new: int, status: int
) -> int:
    """What to make of an assemblage that cannot be solved; SOLVED: from the last good point on."""
    spent = _most_negative(frame, point)
    copy_point(back, point)
    if spent != _NOTHING and status == DRY:
        leave(frame, point, spent)
        return SOLVED
    if new == _NOTHING:
        return status
    leave(frame, point, new)
    return DRY if dry_out(chem, now, frame, point, new, 1e-2) else LOST


@compiled
def solve_phases(chem: Chem, now: Now, frame: Frame, point: Point, warm: bool) -> int:
    """The stable assemblage; SOLVED, LOST or DRY (no water is left, or boils away)."""
    back = make_point(chem, point.one[2] * 1e5)
    copy_point(point, back)
    returns = np.zeros(len(point.solid))
    new = _nobody()
    if not warm:
        cold_start(chem, now, frame, point)
    for n in range(_ROUNDS):
        status = _settle(chem, now, frame, point, back, new)
        if status != SOLVED and n == 0:
            if warm:
                return LOST
            status = solve_blended(chem, now, frame, point, back)
        if status != SOLVED:
            status = _retreat(chem, now, frame, point, back, new, status)
            if status != SOLVED:
                return status
            new = _nobody()
            continue
        spent = _most_negative(frame, point)
        new = _nobody()
        if spent != _NOTHING:
            copy_point(point, back)
            leave(frame, point, spent)
            continue
        new, status = _admit(chem, now, frame, point, back, returns)
        if new == _NOTHING or status == DRY:
            return status
    return LOST
