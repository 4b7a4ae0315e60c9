"""The public calls: equilibrium at constant temperature or constant enthalpy."""

from __future__ import annotations

from functools import lru_cache
from types import MappingProxyType

import numpy as np

from firstcrop.liquor.equilibrium import solve
from firstcrop.liquor.found import DRY, NEGATIVE, NO_WATER, OUT_OF_RANGE, SOLVED, UNBALANCED
from firstcrop.liquor.pack import pack
from firstcrop.liquor.state import Outcome, State, quick_state
from firstcrop.liquor.system import Floats, System

ATMOSPHERE = 101325.0
_NONE = np.empty(0)
_DRY = 1e-8  # kg a mole there was: where a search for equilibrium ends with so little, none is
_KNOWN = MappingProxyType(
    {
        SOLVED: Outcome.SOLVED,
        NO_WATER: Outcome.NO_WATER,
        NEGATIVE: Outcome.NEGATIVE,
        UNBALANCED: Outcome.UNBALANCED,
        DRY: Outcome.DRIED_UP,
        OUT_OF_RANGE: Outcome.OUT_OF_RANGE,
    }
)


def equilibrate(
    system: System,
    amounts: Floats,
    temperature: float,
    pressure: float = ATMOSPHERE,
    guess: State | None = None,
    shift: Floats | None = None,
) -> State:
    """Equilibrium of `amounts` [C] mol (H+ may be zero or negative) at `temperature` K and
    `pressure` Pa. `guess`, a State of the same System, only saves time; `shift` [N] is added to
    the solids' ln K (another solvent beside the water). Never raises for a mixture that cannot
    be solved: see `State.outcome`.
    """
    return _equilibrium(system, amounts, temperature, pressure, guess, shift, _NONE)


def _equilibrium(
    system: System,
    amounts: Floats,
    temperature: float,
    pressure: float,
    guess: State | None,
    shift: Floats | None,
    heat: Floats,
) -> State:
    chem, bulk = pack(system)
    asked = np.ascontiguousarray(amounts, dtype=np.float64)
    start = _NONE if guess is None else guess.numbers
    moved = _NONE if shift is None else shift
    numbers = solve(chem, bulk, float(temperature), float(pressure), asked, start, moved, heat)
    return to_state(system, asked, numbers)


def equilibrate_heat(
    system: System,
    amounts: Floats,
    enthalpy: float,
    extra: tuple[float, float] = (0.0, 0.0),
    pressure: float = ATMOSPHERE,
    guess: State | None = None,
    shift: Floats | None = None,
) -> State:
    """Equilibrium of `amounts` [C] mol at the temperature where the liquor's enthalpy and that of
    inert matter together are `enthalpy` (J). `extra` is the inert matter's enthalpy at 298.15 K
    (J) and its heat capacity (J/K): glass, dry solids. State.enthalpy is the liquor's alone.
    """
    first = 298.15 if guess is None else guess.temperature
    heat = np.array((enthalpy, *extra))
    return _equilibrium(system, amounts, first, pressure, guess, shift, heat)


def heat_capacity_with_chemistry(system: System, state: State, step: float = 0.05) -> float:
    """J/K at constant pressure with equilibrium shifting, by central difference over `step` K."""
    ends = [
        equilibrate(system, state.amounts, state.temperature + d, state.pressure, state).enthalpy
        for d in (-step, step)
    ]
    return (ends[1] - ends[0]) / (2.0 * step)


def to_state(system: System, amounts: Floats, numbers: Floats) -> State:
    """The kernel's row of numbers (laid out as in found.py) as a State."""
    ends = pack_ends(system)
    lam, mol, lng, solid, over, gas, fugacity, one = ends
    (
        temperature, pressure, water, ln_water, ph, strength, residual, iterations, code,
        volume, solid_volume, mass, enthalpy, heat_capacity, gas_enthalpy,
    ) = numbers[one:].tolist()  # fmt: skip
    outcome = _KNOWN.get(int(code), Outcome.NOT_CONVERGED)
    if outcome is Outcome.NOT_CONVERGED and water < _DRY * amounts[0]:
        outcome = Outcome.DRIED_UP
    return quick_state(
        temperature=temperature,
        pressure=pressure,
        amounts=amounts,
        water=water,
        molalities=numbers[mol:lng],
        ln_gamma=numbers[lng:solid],
        ln_activity=numbers[lam:mol],
        ln_a_water=ln_water,
        solids=numbers[solid:over],
        saturation=numbers[over:gas],
        gas=numbers[gas:fugacity],
        fugacity=numbers[fugacity:one],
        ph=ph,
        ionic_strength=strength,
        volume=volume,
        solid_volume=solid_volume,
        mass=mass,
        enthalpy=enthalpy,
        heat_capacity=heat_capacity,
        gas_enthalpy=gas_enthalpy,
        outcome=outcome,
        frozen=strength > system.ionic_strength_max,
        iterations=int(iterations),
        residual=residual,
        numbers=numbers,
    )


@lru_cache(maxsize=512)
def pack_ends(system: System) -> tuple[int, ...]:
    """Where each part of the row of numbers begins, and where the last ends."""
    c, s = len(system.components), len(system.species)
    n, g = len(system.solids), len(system.gases)
    return tuple(int(e) for e in np.cumsum([0, c, s, s, n, n, g, g]))
