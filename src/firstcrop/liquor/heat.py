"""Equilibrium at fixed enthalpy: which temperature to try next (kernels).

H(T) of a mixture in equilibrium rises with temperature, with kinks where a solid or gas appears
and jumps where a phase changes into another at one temperature (boiling water, a hydrate melting
in its own water): Newton and secant steps inside a bracket, and the lever rule across a jump.
"""

from __future__ import annotations

import numpy as np

from firstcrop.liquor.compiled import compiled
from firstcrop.liquor.system import Floats

COLDEST, HOTTEST = 243.15, 423.15  # K, where the search ends
CLOSE = 1e-7  # K: an enthalpy this near (over the heat capacity) is met
JUMP = 1e-6  # K: a bracket this narrow that still misses the enthalpy is a jump
TRIES = 100
_STRIDE = 12.0  # K: the longest step while one end is still open, not to leap over boiling
# a search: ends of the bracket, K; J they miss; the last try and its miss
LOW, HIGH, LOW_GAP, HIGH_GAP, LAST, LAST_GAP = range(6)


@compiled
def new_search() -> Floats:
    """A search not begun."""
    search = np.empty(6)
    search[LOW], search[HIGH] = COLDEST, HOTTEST
    search[LOW_GAP], search[HIGH_GAP] = -np.inf, np.inf
    search[LAST] = search[LAST_GAP] = np.nan
    return search


@compiled
def next_temperature(search: Floats, t: float, gap: float, capacity: float, n: int) -> float:
    """K to try after try `n` at `t` that missed by `gap` J; `capacity` J/K is the least slope."""
    if gap < 0.0:
        search[LOW], search[LOW_GAP] = t, gap
    else:
        search[HIGH], search[HIGH_GAP] = t, gap
    slope = (gap - search[LAST_GAP]) / (t - search[LAST]) if t != search[LAST] else np.nan
    if not slope > 0.2 * capacity:
        slope = capacity
    search[LAST], search[LAST_GAP] = t, gap
    bounded = np.isfinite(search[LOW_GAP]) and np.isfinite(search[HIGH_GAP])
    step = -gap / slope
    if not bounded:
        step = min(max(step, -_STRIDE), _STRIDE)
    wish, low, high = t + step, search[LOW], search[HIGH]
    margin = (1e-9 if n < 6 else 0.02) * (high - low)
    if low + margin < wish < high - margin and (n < 6 or n % 3 != 0 or not bounded):
        return wish
    if not bounded and wish >= high:
        return high
    if not bounded and wish <= low:
        return low
    return 0.5 * (low + high)


@compiled
def share_across(search: Floats) -> float:
    """Across a jump: the part of the way from the low end to the high one; NaN without both."""
    gap = search[HIGH_GAP] - search[LOW_GAP]
    return -search[LOW_GAP] / gap if np.isfinite(gap) else np.nan
