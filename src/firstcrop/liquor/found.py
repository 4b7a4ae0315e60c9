"""The kernels' record of an equilibrium: named views into one row of numbers."""

from __future__ import annotations

import numpy as np
from numba import types
from numba.experimental import structref

from firstcrop.liquor.compiled import Row, compiled, record
from firstcrop.liquor.pack import Chem
from firstcrop.liquor.system import Floats

# one: temperature, pressure, water kg, ln a_w, pH, ionic strength, residual, iterations, code
TEMPERATURE, PRESSURE, WATER, LN_WATER, PH, STRENGTH, RESIDUAL, ITERATIONS, CODE = range(9)
BULK = 9  # where bulk follows one
# bulk: m3 of liquid and of solids, kg, J, J/K, J of the gas alone
VOLUME, SOLID_VOLUME, MASS, ENTHALPY, HEAT_CAPACITY, GAS_ENTHALPY = range(6)
# code
SOLVED, LOST, SINGULAR, DRY, NO_WATER, NEGATIVE, UNBALANCED, OUT_OF_RANGE = range(8)


class Found(structref.StructRefProxy):  # type: ignore[misc]
    """An equilibrium of the amounts asked for; nothing is scaled."""

    all: Row  # every number below, in this order
    lam: Row  # [C] ln activity, -inf where absent
    mol: Row  # [S] mol/kg
    lng: Row  # [S] ln gamma, also of absent species (their trace value)
    solid: Row  # [N] mol
    over: Row  # [N] ln(Q/K)
    gas: Row  # [G] mol
    fugacity: Row  # [G] bar
    one: Row  # [9]
    bulk: Row  # [6]


class FoundStruct(types.StructRef):  # type: ignore[misc]
    """Numba's name for Found."""


FOUND = record(FoundStruct, Found)


@compiled
def new_found(chem: Chem, numbers: Floats) -> Found:
    """A record of `numbers`, or an empty one (water 0, nothing dissolved) when there are none."""
    c, s, n, g = len(chem.charge), len(chem.z), len(chem.solid_nu), len(chem.gas_nu)
    size = c + 2 * s + 2 * n + 2 * g + 15
    row = numbers if len(numbers) == size else np.zeros(size)
    found = structref.new(FOUND)
    found.all = row
    found.lam = row[:c]
    at = c
    found.mol = row[at : at + s]
    at += s
    found.lng = row[at : at + s]
    at += s
    found.solid = row[at : at + n]
    at += n
    found.over = row[at : at + n]
    at += n
    found.gas = row[at : at + g]
    at += g
    found.fugacity = row[at : at + g]
    at += g
    found.one = row[at : at + BULK]
    found.bulk = row[at + BULK :]
    if len(numbers) != size:
        found.lam[:] = -np.inf
        found.over[:] = -np.inf
        found.one[LN_WATER] = found.one[PH] = np.nan
    return found


@compiled
def between(low: Found, high: Found, share: float) -> Found:
    """The mixture of two equilibria of the same amounts at (nearly) the same temperature, `share`
    of the way from one to the other.

    At a temperature where a phase changes into another the amounts are free along the line
    between the two ends: the lever rule, exact because every amount is linear along it.
    """
    first, last = 1.0 - share, share
    mixed = low if low.one[WATER] > 0.0 else high
    residual = max(low.one[RESIDUAL], high.one[RESIDUAL])
    left, right = first * low.one[WATER], last * high.one[WATER]
    water = left + right
    for s in range(len(mixed.mol)):
        if water > 0.0:
            mixed.mol[s] = (left * low.mol[s] + right * high.mol[s]) / water
    for k in range(len(mixed.solid)):
        mixed.solid[k] = first * low.solid[k] + last * high.solid[k]
    for g in range(len(mixed.gas)):
        mixed.gas[g] = first * low.gas[g] + last * high.gas[g]
    for b in range(len(mixed.bulk)):
        mixed.bulk[b] = first * low.bulk[b] + last * high.bulk[b]
    mixed.one[WATER], mixed.one[CODE], mixed.one[RESIDUAL] = water, SOLVED, residual
    return mixed
