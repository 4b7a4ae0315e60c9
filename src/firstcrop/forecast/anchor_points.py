"""What a solubility curve says of ln K: its saturated solutions solved, kin hydrates included.

Between hydrates of one salt only one curve is measured at a temperature. The others are then
less stable by what the change costs: along the saturated solution of the stable hydrate
d ln(K/Q) / d(1/T) = -ΔH/R, with ΔH the heat of the change to the stable hydrate and liquid water,
counted from the temperature where the solid stops being the stable one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from firstcrop.bank.records import CurvePoint, Datum, Solid
from firstcrop.forecast.anchor_curve import GAS_CONSTANT, Flags
from firstcrop.liquor.solve import equilibrate
from firstcrop.liquor.state import State
from firstcrop.liquor.system import Floats, System

WATER_KG = 1.0
_NO_GAS_LEAVES = 1e9  # Pa: carbonates are saturated in a closed vessel
_PER_WATER = 10e3  # J/mol of crystal water set free as liquid, where heats are not known: estimate
_LEAST_PER_WATER = 1e3  # J/mol: heats of formation known too poorly to tell say less
_EDGE = 0.05  # K


@dataclass(frozen=True, slots=True, eq=False)
class SolvedPoint:
    """One saturated solution in pure water, solved without solids."""

    owner: Solid
    point: CurvePoint
    state: State


@dataclass(frozen=True, slots=True, eq=False)
class Points:
    """ln K of one solid at rising temperatures [K]."""

    temperature: Floats
    lnk: Floats
    own: Flags  # from a point of its own curve
    frozen: bool  # activity coefficients were those of the model's edge
    failed: int  # own points that could not be solved


def saturated_amounts(system: System, solid: Solid, value: float) -> Floats:
    """Component amounts [C, mol] of 1 kg water with `value` g anhydrous solute per 100 g of it."""
    nu = stoichiometry(system, solid)
    water = system.components.index("H2O")
    dissolved = nu.copy()
    dissolved[water] -= solid.water
    anhydrous_mass = float(dissolved @ system.component_mass)
    amounts = dissolved * (value / 100.0 * WATER_KG / anhydrous_mass)
    amounts[water] += WATER_KG / system.component_mass[water]
    return amounts


def stoichiometry(system: System, solid: Solid) -> Floats:
    """Moles of each component [C] in a mole of the solid; KeyError when the system lacks one."""
    position = {key: n for n, key in enumerate(system.components)}
    nu = np.zeros(len(system.components))
    for key, count in solid.components:
        nu[position[key]] += count
    return nu


def ln_activity_product(state: State, nu: Floats) -> float:
    """Sum of nu ln a over the components that take part: what ln K is at saturation."""
    part = nu != 0.0
    return float(nu[part] @ state.ln_activity[part])


def solve_curves(bare: System, kin: Sequence[Solid]) -> tuple[SolvedPoint, ...]:
    """Every point of the curves of `kin`, hydrates of one salt, solved once."""
    found: dict[tuple[float, float], SolvedPoint] = {}
    for solid in kin:
        for point in solid.curve:
            key = (point.temperature, point.value)
            if key not in found:
                amounts = saturated_amounts(bare, solid, point.value)
                state = equilibrate(bare, amounts, point.temperature, _NO_GAS_LEAVES)
                found[key] = SolvedPoint(solid, point, state)
    return tuple(found[key] for key in sorted(found))


def points_of(
    bare: System, solid: Solid, solved: Sequence[SolvedPoint], formation: Mapping[str, Datum]
) -> Points:
    """ln K of `solid` from its own saturated solutions and, elsewhere, from those of its kin."""
    nu = stoichiometry(bare, solid)
    own = {(p.temperature, p.value) for p in solid.curve}
    known: dict[float, float] = {}
    frozen, failed = False, 0
    for item in solved:
        mine = (item.point.temperature, item.point.value) in own
        value = ln_activity_product(item.state, nu)
        if not (item.state.ok and np.isfinite(value)):
            failed += mine
            continue
        if mine:
            frozen = frozen or item.state.frozen
            known[item.point.temperature] = value
        elif item.point.temperature not in known:
            margin = _margin(solid, item, formation)
            if margin is not None:
                known[item.point.temperature] = value + margin
    temperature = sorted(known)
    mine_at = {t for t, _ in own}
    return Points(
        np.array(temperature),
        np.array([known[t] for t in temperature]),
        np.array([t in mine_at for t in temperature], dtype=np.bool_),
        frozen,
        failed,
    )


def _margin(solid: Solid, item: SolvedPoint, formation: Mapping[str, Datum]) -> float | None:
    """ln(K/Q) of `solid` in a solution saturated with its kin; None inside its own range."""
    temperature, (low, high) = item.point.temperature, solid.stable
    if low - _EDGE <= temperature <= high + _EDGE:
        return None
    bound = high if temperature > high else low
    heat = _heat_of_change(solid, item.owner, formation)
    return heat / GAS_CONSTANT * abs(1.0 / temperature - 1.0 / bound)


def _heat_of_change(solid: Solid, other: Solid, formation: Mapping[str, Datum]) -> float:
    """J/mol, magnitude: the richer hydrate to the poorer and liquid water."""
    waters = abs(solid.water - other.water)
    if solid.formation is None or other.formation is None or "H2O" not in formation:
        return waters * _PER_WATER
    change = other.formation.value - solid.formation.value
    change += (solid.water - other.water) * formation["H2O"].value
    signed = change if solid.water > other.water else -change
    return max(signed, waters * _LEAST_PER_WATER)
