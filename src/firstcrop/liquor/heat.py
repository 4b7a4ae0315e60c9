"""Equilibrium at fixed enthalpy: the temperature at which H(T) is what it must be.

H(T) of a mixture in equilibrium rises with temperature, with kinks where a solid or gas appears
and jumps where a phase changes into another at one temperature (boiling water, a hydrate melting
in its own water): Newton and secant steps inside a bracket, and the lever rule across a jump.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from firstcrop.liquor.state import Outcome, State

_T0 = 298.15
_COLDEST, _HOTTEST = 243.15, 423.15  # K, where the search ends
_CLOSE = 1e-7  # K: an enthalpy this near (over the heat capacity) is met
_JUMP = 1e-6  # K: a bracket this narrow that still misses the enthalpy is a jump
_STRIDE = 12.0  # K: the longest step while one end is still open, not to leap over boiling
_TRIES = 100

Solve = Callable[[float, State | None], State]  # equilibrium at a temperature, from a guess
Blend = Callable[[State, State, float], State]  # lever rule


def at_enthalpy(
    solve: Solve, blend: Blend, target: float, extra: tuple[float, float], guess: State | None
) -> State:
    """The equilibrium whose enthalpy, with the inert matter's, is `target` J."""
    low: State | None = None
    high: State | None = None
    state = solve(298.15 if guess is None else guess.temperature, guess)
    low_t, high_t, low_gap, high_gap = _COLDEST, _HOTTEST, -math.inf, math.inf
    t = state.temperature
    old_t = old_gap = math.nan
    for n in range(_TRIES):
        state = state if n == 0 else solve(t, state)
        if state.outcome not in (Outcome.SOLVED, Outcome.DRIED_UP):
            return state
        gap = state.enthalpy + extra[0] + extra[1] * (t - _T0) - target
        capacity = state.heat_capacity + extra[1]
        if abs(gap) <= _CLOSE * capacity:
            return state
        if gap < 0.0:
            low, low_t, low_gap = state, t, gap
        else:
            high, high_t, high_gap = state, t, gap
        if high_t - low_t < _JUMP:
            break
        slope = (gap - old_gap) / (t - old_t) if t != old_t else math.nan
        if not slope > 0.2 * capacity:
            slope = capacity
        old_t, old_gap = t, gap
        bounded = low is not None and high is not None
        step = -gap / slope
        if not bounded:
            step = math.copysign(min(abs(step), _STRIDE), step)
        t = _next(t + step, (low_t, high_t), bounded, n)
    if low is None or high is None:
        return replace(state, outcome=Outcome.OUT_OF_RANGE)
    return blend(low, high, -low_gap / (high_gap - low_gap))


def _next(wish: float, bracket: tuple[float, float], bounded: bool, n: int) -> float:
    """The wished temperature if it is well inside the bracket, else a point that halves it."""
    low, high = bracket
    margin = (1e-9 if n < 6 else 0.02) * (high - low)
    if low + margin < wish < high - margin and (n < 6 or n % 3 != 0 or not bounded):
        return wish
    if not bounded and wish >= high:
        return high
    if not bounded and wish <= low:
        return low
    return 0.5 * (low + high)
