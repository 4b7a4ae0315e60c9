"""Give every solid its K(T), from its published solubility through the liquor's own activity model.

For each point of a solid's curve the saturated solution in pure water is put together (the curve
counts anhydrous solute per 100 g of all the water, crystal water included), its speciation is
solved without solids, and ln K is the sum of nu ln a. Whatever the activity model gets wrong in
the saturated solution in pure water thus cancels when the solid is asked for again: solubility in
pure water is that of the curve, and common ions, pH and salting act through the model.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from firstcrop.bank.records import Component, CurvePoint, Datum, Obtained, Solid
from firstcrop.forecast.anchor_curve import (
    GAS_CONSTANT,
    settle_on_nodes,
    through_points,
    van_t_hoff,
)
from firstcrop.forecast.anchor_points import Points, SolvedPoint, points_of, solve_curves
from firstcrop.liquor.system import Floats, System
from firstcrop.problems import Problem, Severity

_NEAR = 298.15


@dataclass(frozen=True, slots=True, eq=False)
class Anchored:
    """ln K of the solids, in the order they were given.

    lnk [N, T]: NaN in the row of a solid that could not be anchored (a problem says why).
    heat [N]: J/mol of dissolving at 298.15 K as the slope of ln K tells it.
    data, notes [N]: the values each row rests on, and what a reader should know of it.
    """

    lnk: Floats
    heat: Floats
    data: tuple[tuple[Datum, ...], ...]
    notes: tuple[tuple[str, ...], ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Row:
    lnk: Floats
    data: tuple[Datum, ...]
    notes: tuple[str, ...] = ()
    problem: Problem | None = None


def anchor(system: System, solids: Sequence[Solid], components: Iterable[Component]) -> Anchored:
    """ln K on `system.t_grid` for every solid, all of whose components the system must have.

    `components` give heats of formation, for the slope where a curve gives none. The solids and
    gases `system` has already are not looked at.
    """
    bare = without_solids(system) if system.solids else system
    formation = {c.key: c.formation for c in components}
    rows = list(_rows(bare, solids, formation))
    size = len(system.t_grid)
    lnk = np.array([row.lnk for row in rows]).reshape(len(rows), size)
    return Anchored(
        lnk=lnk,
        heat=np.array([_slope_at(system.t_grid, row.lnk) for row in rows]),
        data=tuple(row.data for row in rows),
        notes=tuple(row.notes for row in rows),
        problems=tuple(row.problem for row in rows if row.problem is not None),
    )


def without_solids(system: System) -> System:
    """The same chemistry in which nothing can crystallise."""
    components, grid = len(system.components), len(system.t_grid)
    none = np.zeros(0)
    return replace(
        system,
        solids=(),
        solid_nu=np.zeros((0, components)),
        solid_lnk=np.zeros((0, grid)),
        solid_h=none,
        solid_cp=none,
        solid_volume=none,
        solid_mass=none,
    )


def heat_of_dissolving(solid: Solid, formation: Mapping[str, Datum]) -> Datum | None:
    """J/mol at infinite dilution: published with log K, else from the heats of formation."""
    if solid.log_k_enthalpy is not None:
        return solid.log_k_enthalpy
    if solid.formation is None or any(key not in formation for key, _ in solid.components):
        return None
    dissolved = sum(count * formation[key].value for key, count in solid.components)
    return replace(
        solid.formation,
        value=dissolved - solid.formation.value,
        obtained=Obtained.DERIVED,
        label=f"ΔH° of dissolving {solid.key}, from heats of formation",
    )


def _rows(bare: System, solids: Sequence[Solid], formation: Mapping[str, Datum]) -> Iterable[_Row]:
    solved: dict[str, tuple[SolvedPoint, ...]] = {}
    for solid in solids:
        if not solid.curve:
            yield _sparing_row(bare, solid, formation)
            continue
        salt = solid.anhydrous
        if salt not in solved:
            kin = [s for s in solids if s.curve and s.anhydrous == salt]
            solved[salt] = solve_curves(bare, kin)
        yield _curve_row(bare, solid, solved[salt], formation)


def _sparing_row(bare: System, solid: Solid, formation: Mapping[str, Datum]) -> _Row:
    if solid.log_k is None:
        return _unknown(bare, solid, "has neither a solubility curve nor a log K")
    heat = heat_of_dissolving(solid, formation)
    lnk = van_t_hoff(solid.log_k.value, None if heat is None else heat.value, bare.t_grid)
    notes = () if heat is not None else (f"{solid.key}: K taken as the same at every temperature",)
    return _Row(lnk, tuple(d for d in (solid.log_k, heat) if d is not None), notes)


def _curve_row(
    bare: System,
    solid: Solid,
    solved: Sequence[SolvedPoint],
    formation: Mapping[str, Datum],
) -> _Row:
    heat = heat_of_dissolving(solid, formation)
    points = points_of(bare, solid, solved, formation)
    if not len(points.temperature):
        return _unknown(bare, solid, "its saturated solution could not be solved")
    smooth, sloped = through_points(
        points.temperature, points.lnk, bare.t_grid, None if heat is None else heat.value
    )
    table = settle_on_nodes(bare.t_grid, smooth, points.temperature, points.lnk, points.own)
    data = tuple(_datum(solid, point) for point in solid.curve)
    return _Row(table, data, _notes(bare, solid, points, sloped))


def _notes(bare: System, solid: Solid, points: Points, sloped: bool) -> tuple[str, ...]:
    notes = []
    low, high = solid.curve[0].temperature, solid.curve[-1].temperature
    if bare.t_grid[0] < low - 0.5 or bare.t_grid[-1] > high + 0.5:
        notes.append(
            f"{solid.key}: solubility known from {low - 273.15:.0f} to {high - 273.15:.0f} °C, "
            "extended beyond as a straight line in 1/T"
        )
    if points.frozen:
        notes.append(
            f"{solid.key}: saturated solutions beyond an ionic strength of "
            f"{bare.ionic_strength_max:g} mol/kg use the activity coefficients found there"
        )
    if not sloped:
        notes.append(f"{solid.key}: one point only, K taken as the same at every temperature")
    if points.failed:
        notes.append(f"{solid.key}: {points.failed} curve points could not be solved")
    return tuple(notes)


def _datum(solid: Solid, point: CurvePoint) -> Datum:
    return Datum(
        point.value,
        "g/100 g water",
        point.band,
        point.obtained,
        point.source,
        "",
        f"solubility of {solid.key} at {point.temperature - 273.15:.4g} °C",
        point.place,
    )


def _unknown(bare: System, solid: Solid, why: str) -> _Row:
    problem = Problem(
        "solid-not-anchored",
        f"{solid.key} {why}: whether it crystallises is not known",
        (solid.place,),
        "give its solubility under ## Substances",
        Severity.WARNING,
    )
    return _Row(np.full(len(bare.t_grid), np.nan), (), (), problem)


def _slope_at(grid: Floats, lnk: Floats) -> float:
    """Heat of dissolving, J/mol, from the slope of ln K around 298.15 K."""
    if len(grid) < 2:
        return float("nan")
    low, high = max(_NEAR - 5.0, grid[0]), min(_NEAR + 5.0, grid[-1])
    at_low, at_high = np.interp([low, high], grid, lnk)
    return float(GAS_CONSTANT * (at_high - at_low) / (1.0 / low - 1.0 / high))
