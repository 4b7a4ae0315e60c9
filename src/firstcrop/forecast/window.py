"""The window of a liquor: the temperatures at which the wanted solid crystallises alone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from firstcrop.forecast.records import Window
from firstcrop.forecast.solvents import Cosolvents, settle
from firstcrop.liquor.solve import ATMOSPHERE
from firstcrop.liquor.state import State
from firstcrop.liquor.system import Floats, System

LOWEST, HIGHEST = 273.15, 373.15  # K, where nothing else is asked
STEP = 2.5  # K between the temperatures of the scan
CLOSE = 0.02  # K to which a beginning is bisected
TRACE = 2e-6  # mol of solid per mol of water, 0.1 mmol/kg: less is a haze nobody filters

Flags = npt.NDArray[np.bool_]
Solve = Callable[[float, State | None], State]


@dataclass(frozen=True, slots=True)
class _Scan:
    """States at rising temperatures, and the moles of every solid there [temperature, solid]."""

    states: tuple[State, ...]
    temperatures: tuple[float, ...]
    moles: Floats


def find_window(
    system: System,
    amounts: Floats,
    wanted: str,
    step: int = 0,
    lowest: float = LOWEST,
    highest: float = HIGHEST,
    pressure: float = ATMOSPHERE,
    mix: Cosolvents | None = None,
) -> Window:
    """Where, cooling `amounts` [C, mol] from `highest` to `lowest` [K], `wanted` comes alone.

    `high` is where the wanted solid begins, `low` where the first rival joins it (or the end of
    the scan); both NaN when it nowhere comes alone. A solid present at `highest` already counts
    as joining there. Equilibrium throughout: undercooling is not in it.
    """

    def solve(temperature: float, guess: State | None) -> State:
        return settle(system, mix, amounts, temperature, pressure, guess)

    scan = _scan(solve, lowest, highest, len(system.solids))
    present = scan.moles > TRACE * max(float(amounts[0]), 0.0)
    column = system.solids.index(wanted)
    alone = present[:, column] & (present.sum(axis=1) == 1)
    run = _highest_run(alone)
    shown = np.flatnonzero(present.any(axis=0)).tolist()
    series = tuple((system.solids[n], tuple(scan.moles[:, n].tolist())) for n in shown)
    rivals = tuple(
        (system.solids[n], _joins(solve, scan, present, n, run)) for n in shown if n != column
    )
    low = high = float("nan")
    if run is not None:
        low, high = _edges(solve, scan, alone, run, column)
    ordered = tuple(sorted(rivals, key=lambda rival: -rival[1]))
    kept = tuple((system.solids[n], _dissolved(system, scan, n)) for n in shown)
    return Window(step, wanted, low, high, ordered, scan.temperatures, series, kept)


def _dissolved(system: System, scan: _Scan, row: int) -> tuple[float, ...]:
    """kg of a solid that the dissolved matter could make at each temperature: its solubility in
    this liquor where the solid is there, all of it where none is. Water counts as never scarce."""
    nu = system.solid_nu[row]
    parts = [i for i in range(2, len(nu)) if nu[i] > 0.0]
    mass = float(system.solid_mass[row])
    found = []
    for state in scan.states:
        left = state.amounts - state.solids @ system.solid_nu
        most = min((float(left[i] / nu[i]) for i in parts), default=float("nan"))
        found.append(mass * max(most, 0.0) if state.ok else float("nan"))
    return tuple(found)


def _scan(solve: Solve, lowest: float, highest: float, solids: int) -> _Scan:
    count = max(2, round((highest - lowest) / STEP) + 1)
    temperatures = np.linspace(highest, lowest, count)
    states: list[State] = []
    guess: State | None = None
    for temperature in temperatures:
        state = solve(float(temperature), guess)
        states.append(state)
        guess = state if state.ok else None
    moles = np.array([s.solids if s.ok else np.full(solids, np.nan) for s in states])
    return _Scan(
        tuple(reversed(states)),
        tuple(temperatures[::-1].tolist()),
        moles.reshape(count, solids)[::-1],
    )


def _highest_run(flags: Flags) -> tuple[int, int] | None:
    """First and last index of the last unbroken run of true flags."""
    found = np.flatnonzero(flags)
    if not len(found):
        return None
    last = first = int(found[-1])
    while first > 0 and flags[first - 1]:
        first -= 1
    return first, last


def _edges(
    solve: Solve, scan: _Scan, alone: Flags, run: tuple[int, int], column: int
) -> tuple[float, float]:
    first, last = run
    limit = TRACE * max(float(scan.states[first].amounts[0]), 0.0)

    def is_alone(state: State) -> bool:
        there = state.solids > limit
        return bool(state.ok and there[column] and there.sum() == 1)

    low, high = scan.temperatures[first], scan.temperatures[last]
    if first > 0:
        low = _bisect(solve, scan.states[first], scan.temperatures[first - 1], is_alone)
    if last + 1 < len(alone):
        high = _bisect(solve, scan.states[last], scan.temperatures[last + 1], is_alone)
    return low, high


def _joins(
    solve: Solve, scan: _Scan, present: Flags, rival: int, run: tuple[int, int] | None
) -> float:
    """Temperature nearest below (else above) the window at which the rival appears."""
    there = np.flatnonzero(present[:, rival])
    below = there[there < run[0]] if run is not None else there
    limit = TRACE * max(float(scan.states[0].amounts[0]), 0.0)

    def is_there(state: State) -> bool:
        return bool(state.ok and state.solids[rival] > limit)

    if len(below):
        top = int(below[-1])
        if top + 1 == len(scan.temperatures):
            return scan.temperatures[top]
        return _bisect(solve, scan.states[top], scan.temperatures[top + 1], is_there)
    bottom = int(there[0])
    return _bisect(solve, scan.states[bottom], scan.temperatures[bottom - 1], is_there)


def _bisect(solve: Solve, inside: State, outside: float, holds: Callable[[State], bool]) -> float:
    """The temperature between a state for which `holds` and one for which it does not."""
    here, guess = inside.temperature, inside
    while abs(outside - here) > CLOSE:
        middle = 0.5 * (here + outside)
        state = solve(middle, guess)
        if holds(state):
            here, guess = middle, state
        else:
            outside = middle
    return here
