"""What a solubility curve says of ln K: its saturated solutions solved, kin hydrates included.

Of the hydrates of one salt only one has a measured curve at a temperature. The K of the others
follows from it by the reaction that turns one hydrate into the next and liquid water: its K is
known where both share a saturated solution, and goes with its heat by van 't Hoff's law.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

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
    shared_by: tuple[Solid, ...] = ()  # owner and any other solid whose curve has this point


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
            before = found.get(key)
            if before is not None:
                found[key] = replace(before, shared_by=(*before.shared_by, solid))
                continue
            amounts = saturated_amounts(bare, solid, point.value)
            state = equilibrate(bare, amounts, point.temperature, _NO_GAS_LEAVES)
            found[key] = SolvedPoint(solid, point, state, (solid,))
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
        at = item.point.temperature
        if (at, item.point.value) in own:
            value = _at_saturation(item, nu)
            failed += value is None
            frozen = frozen or (value is not None and item.state.frozen)
        else:
            value = None if at in known else _from_kin(bare, solid, item, solved, formation)
        if value is not None:
            known[at] = value
    temperature = sorted(known)
    measured = {t for t, _ in own}
    return Points(
        np.array(temperature),
        np.array([known[t] for t in temperature]),
        np.array([t in measured for t in temperature], dtype=np.bool_),
        frozen,
        failed,
    )


def _at_saturation(item: SolvedPoint, nu: Floats) -> float | None:
    value = ln_activity_product(item.state, nu)
    return value if item.state.ok and np.isfinite(value) else None


def _from_kin(
    bare: System,
    solid: Solid,
    item: SolvedPoint,
    solved: Sequence[SolvedPoint],
    formation: Mapping[str, Datum],
) -> float | None:
    """ln K of `solid` where another hydrate is measured; None when no change leads to that one."""
    at = item.point.temperature
    if solid.stable[0] - _EDGE <= at <= solid.stable[1] + _EDGE:
        return None
    value = _at_saturation(item, stoichiometry(bare, item.owner))
    here = item.owner
    while value is not None and here is not solid:
        up = solid.stable[0] > here.stable[0]
        step = _neighbour(here, solved, up)
        if step is None:
            return None
        shared, following = step
        cold, warm = (here, following) if up else (following, here)
        ratio = _ratio(bare, cold, warm, shared, formation, at)
        value = None if ratio is None else value + (-ratio if up else ratio)
        here = following
    return value


def _neighbour(
    here: Solid, solved: Sequence[SolvedPoint], up: bool
) -> tuple[SolvedPoint, Solid] | None:
    """The saturated solution `here` shares with the next hydrate up or down, and that hydrate."""
    edge = here.stable[1] if up else here.stable[0]
    for item in solved:
        if abs(item.point.temperature - edge) > _EDGE:
            continue
        for other in item.shared_by:
            if other is not here and abs(other.stable[0 if up else 1] - edge) <= _EDGE:
                return item, other
    return None


def _ratio(
    bare: System,
    cold: Solid,
    warm: Solid,
    shared: SolvedPoint,
    formation: Mapping[str, Datum],
    temperature: float,
) -> float | None:
    """ln(K_cold / K_warm) at `temperature`: of cold = warm + water."""
    both = [_at_saturation(shared, stoichiometry(bare, solid)) for solid in (cold, warm)]
    if both[0] is None or both[1] is None:
        return None
    heat = _heat_of_change(cold, warm, formation)
    rise = 1.0 / shared.point.temperature - 1.0 / temperature
    return both[0] - both[1] + heat / GAS_CONSTANT * rise


def _heat_of_change(cold: Solid, warm: Solid, formation: Mapping[str, Datum]) -> float:
    """J/mol of the richer hydrate, cold, going to the poorer, warm, and liquid water."""
    waters = cold.water - warm.water
    if cold.formation is None or warm.formation is None or "H2O" not in formation:
        return waters * _PER_WATER
    change = warm.formation.value - cold.formation.value + waters * formation["H2O"].value
    return max(change, waters * _LEAST_PER_WATER)
