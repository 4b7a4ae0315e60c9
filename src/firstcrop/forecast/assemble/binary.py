"""One binary solution on the grid: volume and enthalpy its solute adds, a mole or equivalent."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from firstcrop.bank.bulk import FittedLaw, Solute, SolutionPoint
from firstcrop.forecast.anchor_curve import monotone_cubic
from firstcrop.laws.density_laliberte_2009 import apparent_specific_volume
from firstcrop.laws.heat_capacity_laliberte_2009 import apparent_specific_heat_capacity
from firstcrop.laws.water_density_kell_1975 import water_density
from firstcrop.laws.water_heat_iapws_2011 import water_heat_capacity
from firstcrop.liquor.pitzer import WATER_MASS
from firstcrop.liquor.system import Floats

T0 = 298.15  # K
_STEP = 2.5  # K, for integrating heat capacity
_OVER = 0.02  # mass fraction a law is followed beyond its range, so that its end has no kink
_FURTHER = 0.03  # of u: how far beyond its last point a heat of dilution is followed
_Specific = Callable[[Floats, Floats], Floats]  # (temperature, mass fraction) -> per kg of solute


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """Nodes: u = root/(root + 4), root the square root of ionic strength (neutral: molality)."""

    u: Floats
    t: Floats

    @property
    def square(self) -> Floats:
        """Ionic strength or molality [U] at the nodes, mol/kg."""
        return np.asarray((4.0 * self.u / (1.0 - self.u)) ** 2)


@dataclass(frozen=True, slots=True)
class Shape:
    """A solute's numbers: mass [kg/mol], equivalents and ionic strength of 1 mol/kg, and ΔfH
    [J/mol] at infinite dilution. A neutral has one equivalent, and ionic strength 1."""

    mass: float
    equivalents: float
    strength: float
    formation: float


def volume(solute: Solute, shape: Shape, grid: Grid) -> Floats | None:
    """Apparent volume [U, T], m3 per equivalent; None when nothing is known."""
    specific = _specific_volume(solute)
    if specific is None:
        return None
    w = _mass_fraction(shape, grid)
    return specific(grid.t[None, :], w[:, None]) * (shape.mass / shape.equivalents)


def heat_content(solute: Solute, shape: Shape, grid: Grid) -> Floats | None:
    """Integral of the apparent heat capacity from 298.15 K [U, T], J per equivalent."""
    specific = _specific_heat_capacity(solute)
    if specific is None:
        return None
    w = _mass_fraction(shape, grid)
    fine = np.arange(grid.t[0], grid.t[-1] + 0.5 * _STEP, _STEP)
    cp = specific(fine[None, :], w[:, None]) * (shape.mass / shape.equivalents)
    sums = np.zeros_like(cp)
    sums[:, 1:] = np.cumsum(0.5 * (cp[:, 1:] + cp[:, :-1]) * np.diff(fine), axis=1)
    at = _between(fine, sums.T, np.array([T0, *grid.t]))
    return np.asarray((at[1:] - at[:1]).T)


def heat_of_dilution(solute: Solute, shape: Shape, grid: Grid) -> Floats | None:
    """Apparent enthalpy at 298.15 K less that at infinite dilution [U], J per equivalent."""
    rows = sorted(solute.dilution, key=lambda d: -d.water)
    if not rows:
        return None
    water = np.array([d.water for d in rows])
    u = 1.0 / (1.0 + 4.0 * np.sqrt(water * WATER_MASS / shape.strength))
    heat = np.array([d.formation.value for d in rows]) - shape.formation
    x, y = np.concatenate([[0.0], u]), np.concatenate([[0.0], heat])
    inside = monotone_cubic(x, y, grid.u)
    slope = (y[-1] - y[-2]) / (x[-1] - x[-2])
    beyond = np.clip(grid.u - x[-1], 0.0, _FURTHER) * slope
    return np.asarray((inside + beyond) / shape.equivalents)


def _mass_fraction(shape: Shape, grid: Grid) -> Floats:
    grams = grid.square / shape.strength * shape.mass
    return np.asarray(grams / (1.0 + grams))


def _clipped(law: FittedLaw, t: Floats, w: Floats) -> tuple[Floats, Floats]:
    low, high = law.mass_fraction
    return np.clip(t, *law.temperature), np.clip(w, low, min(high + _OVER, 1.0))


def _specific_volume(solute: Solute) -> _Specific | None:
    law = solute.density
    if law is None and not solute.density_points:
        return None

    def inside(t: Floats, w: Floats) -> Floats:
        assert law is not None
        return apparent_specific_volume(*_clipped(law, t, w), law.constants)

    def from_point(p: SolutionPoint) -> float:
        rest = (1.0 - p.mass_fraction) / water_density(p.temperature)
        return float((1.0 / p.value - rest) / p.mass_fraction)

    return _beyond(None if law is None else inside, law, solute.density_points, from_point)


def _specific_heat_capacity(solute: Solute) -> _Specific | None:
    law = solute.heat_capacity
    if law is None and not solute.heat_capacity_points:
        return None

    def inside(t: Floats, w: Floats) -> Floats:
        assert law is not None
        return apparent_specific_heat_capacity(*_clipped(law, t, w), law.constants)

    def from_point(p: SolutionPoint) -> float:
        rest = (1.0 - p.mass_fraction) * float(water_heat_capacity(p.temperature))
        return (p.value - rest) / p.mass_fraction

    return _beyond(None if law is None else inside, law, solute.heat_capacity_points, from_point)


@dataclass(frozen=True, slots=True, eq=False)
class _Beyond:
    """The law inside its range, straight lines through the points beyond it, then level.

    Where all points of a mass fraction are at one temperature, the change with temperature is
    that of the law at the end of its range.
    """

    inside: _Specific | None
    top: float  # mass fraction where the law ends; -1: there is none
    columns: tuple[tuple[float, Floats, Floats], ...]  # mass fraction, temperatures, values

    def __call__(self, t: Floats, w: Floats) -> Floats:
        """Per kg of solute [U, T] at t [1, T] and w [U, 1]."""
        within = None if self.inside is None else self.inside(t, w)
        if not self.columns:
            assert within is not None
            return within
        nodes = [w for w, _, _ in self.columns]
        rows = [self._column(t[0], at, values) for _, at, values in self.columns]
        if self.inside is None or within is None:
            return _between(np.array(nodes), np.array(rows), w[:, 0])
        nodes.insert(0, self.top)
        rows.insert(0, self.inside(t[0], np.array([self.top])))
        above = _between(np.array(nodes), np.array(rows), w[:, 0])
        return np.where(w <= self.top, within, above)

    def _column(self, t: Floats, at: Floats, values: Floats) -> Floats:
        if len(at) > 1 or self.inside is None:
            return np.asarray(np.interp(t, at, values))
        edge = np.array([self.top])
        ratio = self.inside(t, edge) / self.inside(at, edge)
        return np.asarray(values[0] * np.clip(ratio, 0.5, 2.0))


def _beyond(
    inside: _Specific | None,
    law: FittedLaw | None,
    points: tuple[SolutionPoint, ...],
    value: Callable[[SolutionPoint], float],
) -> _Specific:
    top = -1.0 if law is None else law.mass_fraction[1]
    columns = []
    for w in sorted({p.mass_fraction for p in points if p.mass_fraction > top}):
        here = sorted((p.temperature, value(p)) for p in points if p.mass_fraction == w)
        columns.append((w, np.array([t for t, _ in here]), np.array([v for _, v in here])))
    return _Beyond(inside, top, tuple(columns))


def _between(nodes: Floats, rows: Floats, at: Floats) -> Floats:
    """Rows [n, ...] at `nodes` [n], read at `at` by straight lines, level outside."""
    if len(nodes) == 1:
        return np.repeat(rows, len(at), axis=0)
    k = np.clip(np.searchsorted(nodes, at) - 1, 0, len(nodes) - 2)
    part = np.clip((at - nodes[k]) / (nodes[k + 1] - nodes[k]), 0.0, 1.0)[:, None]
    return np.asarray(rows[k] * (1.0 - part) + rows[k + 1] * part)
