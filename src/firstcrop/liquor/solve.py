"""The public calls: equilibrium at constant temperature or constant enthalpy."""

from __future__ import annotations

import numpy as np

from firstcrop.liquor.bulk import (
    ENTHALPY,
    GAS_ENTHALPY,
    HEAT_CAPACITY,
    MASS,
    SOLID_VOLUME,
    VOLUME,
    properties,
)
from firstcrop.liquor.compiled import compiled, entry
from firstcrop.liquor.equilibrium import (
    CODE,
    ITERATIONS,
    LN_WATER,
    NEGATIVE,
    NO_WATER,
    PH,
    PRESSURE,
    RESIDUAL,
    STRENGTH,
    TEMPERATURE,
    WATER,
    Found,
    empty_found,
    find_once,
)
from firstcrop.liquor.newton import CONVERGED, DRY
from firstcrop.liquor.pack import Bulk, Chem, pack
from firstcrop.liquor.state import Outcome, State
from firstcrop.liquor.system import Floats, System

ATMOSPHERE = 101325.0
_NEUTRAL = 1e-7  # relative imbalance of charge that rounding of amounts may leave


@entry
def _solve(
    chem: Chem, bulk: Bulk, temperature: float, pressure: float, amounts: Floats, guess: Found
) -> tuple[Found, Floats]:
    found = find_once(chem, temperature, pressure, amounts, guess)
    return found, properties(bulk, amounts, found)


def equilibrate(
    system: System,
    amounts: Floats,
    temperature: float,
    pressure: float = ATMOSPHERE,
    guess: State | None = None,
) -> State:
    """Equilibrium of `amounts` [C] mol (H+ may be zero or negative) at `temperature` K and
    `pressure` Pa. `guess`, a State of the same System, only saves time. Never raises for a
    mixture that cannot be solved: see `State.outcome`.
    """
    chem, bulk = pack(system)
    asked = np.ascontiguousarray(amounts, dtype=np.float64)
    start = empty_found(chem) if guess is None else guess.found
    found, bulk_values = _solve(chem, bulk, float(temperature), float(pressure), asked, start)
    return to_state(chem, asked, found, bulk_values)


def to_state(chem: Chem, amounts: Floats, found: Found, values: Floats) -> State:
    """The kernel's arrays as a State."""
    one = found.one.tolist()
    of = values.tolist()
    return State(
        temperature=one[TEMPERATURE],
        pressure=one[PRESSURE],
        amounts=amounts,
        water=one[WATER],
        molalities=found.mol,
        ln_gamma=found.lng,
        ln_activity=found.lam,
        ln_a_water=one[LN_WATER],
        solids=found.solid,
        saturation=found.over,
        gas=found.gas,
        fugacity=found.fugacity,
        ph=one[PH],
        ionic_strength=one[STRENGTH],
        volume=of[VOLUME],
        solid_volume=of[SOLID_VOLUME],
        mass=of[MASS],
        enthalpy=of[ENTHALPY],
        heat_capacity=of[HEAT_CAPACITY],
        gas_enthalpy=of[GAS_ENTHALPY],
        outcome=_outcome(chem, amounts, int(one[CODE])),
        frozen=one[STRENGTH] > chem.limits[0],
        iterations=int(one[ITERATIONS]),
        residual=one[RESIDUAL],
        found=found,
    )


def _outcome(chem: Chem, amounts: Floats, code: int) -> Outcome:
    if code == CONVERGED:
        charges = chem.charge * amounts
        if abs(charges.sum()) > _NEUTRAL * np.abs(charges).sum():
            return Outcome.UNBALANCED
        return Outcome.SOLVED
    known = {NO_WATER: Outcome.NO_WATER, NEGATIVE: Outcome.NEGATIVE, DRY: Outcome.DRIED_UP}
    return known.get(code, Outcome.NOT_CONVERGED)
