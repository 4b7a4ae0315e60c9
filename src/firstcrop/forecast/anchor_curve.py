"""A solubility curve as ln K over temperature: through the points, straight in 1/T beyond them."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from firstcrop.liquor.system import Floats

Flags = npt.NDArray[np.bool_]
GAS_CONSTANT = 8.314462618  # J/(mol K), CODATA 2018
_REACH = 20.0  # K: points this near an end tell the slope beyond it
_SPAN = 12.0  # K: a curve shorter than this does not tell a slope beyond it
_ON_NODE = 1e-6  # K
_STIFF = 1e-2  # how unwilling a node is to move, against 1 for missing a measured point


def through_points(
    temperature: Floats, lnk: Floats, wanted: Floats, heat: float | None
) -> tuple[Floats, bool]:
    """ln K at `wanted` [K] from `lnk` at `temperature` [K, rising, at least one].

    Between the points the monotone cubic of Fritsch and Butland (SIAM J. Sci. Stat. Comput. 5
    (1984) 300) in 1/T. Beyond them a straight line in 1/T: with the slope of the last points when
    the curve is long enough, else with `heat` [J/mol of dissolving], else (no heat known) with the
    slope of the points, else level. The flag tells whether any slope was known.
    """
    x = -1.0 / temperature  # rising with temperature
    target = -1.0 / wanted
    long = temperature[-1] - temperature[0] >= _SPAN
    known = None if heat is None else heat / GAS_CONSTANT
    single = len(x) == 1
    low = _end_slope(x, lnk, temperature <= temperature[0] + _REACH)
    high = _end_slope(x, lnk, temperature >= temperature[-1] - _REACH)
    if known is not None and not long:
        low = high = known
    inside = lnk[0] + 0.0 * target if single else monotone_cubic(x, lnk, target)
    below, above = target < x[0], target > x[-1]
    value = np.where(below, lnk[0] + low * (target - x[0]), inside)
    value = np.where(above, lnk[-1] + high * (target - x[-1]), value)
    return value, not single or known is not None


def settle_on_nodes(
    grid: Floats, table: Floats, temperature: Floats, lnk: Floats, own: Flags
) -> Floats:
    """`table` [T] of ln K on `grid` [K], nodes moved so that reading it meets the points too.

    The solver reads the table with its own interpolation; a point between two nodes, such as a
    change of hydrate, would be missed by a little. A node that carries an `own` (measured) point
    stays; the other points only steady the rest.
    """
    if len(grid) < 2:
        return table
    inside = np.flatnonzero((temperature >= grid[0]) & (temperature <= grid[-1]))
    distance = np.abs(grid[:, None] - temperature[None, inside])
    held = (distance[:, own[inside]] < _ON_NODE).any(axis=1)
    between = inside[(distance > _ON_NODE).all(axis=0)]
    if not own[between].any() or held.all():
        return table
    reading = np.array([_reading(grid, t) for t in temperature[between]])
    trust = np.where(own[between], 1.0, _STIFF)
    gap = trust * (lnk[between] - reading @ table)
    part = trust[:, None] * reading[:, ~held]
    moved = table.copy()
    square = part.T @ part + _STIFF**2 * np.eye(part.shape[1])
    moved[~held] += np.linalg.solve(square, part.T @ gap)
    return moved


def _reading(grid: Floats, temperature: float) -> Floats:
    """Weights [T] with which the solver reads a table on `grid` at `temperature` inside it:
    cubic Hermite, the tangent at a node being that of the parabola through it and its neighbours
    (as in liquor/curves.py, whose kernel cannot be called from here; a test compares them)."""
    k = min(max(int(np.searchsorted(grid, temperature)) - 1, 0), len(grid) - 2)
    width = grid[k + 1] - grid[k]
    t = (temperature - grid[k]) / width
    near, far = _tangent(grid, k), _tangent(grid, k + 1)
    row: Floats = width * t * (1.0 - t) * ((1.0 - t) * near - t * far)
    row[k] += 1.0 + t * t * (2.0 * t - 3.0)
    row[k + 1] += t * t * (3.0 - 2.0 * t)
    return row


def _tangent(grid: Floats, k: int) -> Floats:
    """Weights [T] of the slope at node k."""
    row = np.zeros(len(grid))
    if len(grid) == 2:
        row[:] = np.array([-1.0, 1.0]) / (grid[1] - grid[0])
        return row
    mid = min(max(k, 1), len(grid) - 2)
    near = grid[mid - 1 : mid + 2]
    for n in range(3):
        p, q = np.delete(near, n)
        row[mid - 1 + n] = (2.0 * grid[k] - p - q) / ((near[n] - p) * (near[n] - q))
    return row


def monotone_cubic(x: Floats, y: Floats, target: Floats) -> Floats:
    """Cubic Hermite through (x, y) that makes no hump the points do not have; x rising."""
    width, rise = np.diff(x), np.diff(y)
    slope = rise / width
    tangent = np.empty_like(y)
    if len(x) == 2:
        tangent[:] = slope[0]
    else:
        tangent[1:-1] = _inner(width, slope)
        tangent[0] = _edge(width[0], width[1], slope[0], slope[1])
        tangent[-1] = _edge(width[-1], width[-2], slope[-1], slope[-2])
    k = np.clip(np.searchsorted(x, target) - 1, 0, len(x) - 2)
    t = np.clip((target - x[k]) / width[k], 0.0, 1.0)
    return np.asarray(
        y[k] * (1.0 + t * t * (2.0 * t - 3.0))
        + y[k + 1] * t * t * (3.0 - 2.0 * t)
        + width[k] * t * (1.0 - t) * ((1.0 - t) * tangent[k] - t * tangent[k + 1])
    )


def _inner(width: Floats, slope: Floats) -> Floats:
    """Weighted harmonic mean of the slopes on both sides, zero at a turning point."""
    w1, w2 = 2.0 * width[1:] + width[:-1], width[1:] + 2.0 * width[:-1]
    left, right = slope[:-1], slope[1:]
    same = left * right > 0.0
    safe_left, safe_right = np.where(same, left, 1.0), np.where(same, right, 1.0)
    return np.where(same, (w1 + w2) / (w1 / safe_left + w2 / safe_right), 0.0)


def _edge(near: float, next_: float, slope: float, next_slope: float) -> float:
    """Tangent at an end from the parabola through three points, kept monotone."""
    tangent = ((2.0 * near + next_) * slope - near * next_slope) / (near + next_)
    if tangent * slope <= 0.0:
        return 0.0
    if slope * next_slope <= 0.0 and abs(tangent) > 3.0 * abs(slope):
        return 3.0 * slope
    return tangent


def _end_slope(x: Floats, lnk: Floats, near: Floats) -> float:
    """Slope of the least-squares line through the points `near` an end that keeps to the end."""
    chosen = np.flatnonzero(near)
    if len(chosen) < 2 and len(x) >= 2:
        chosen = np.array([0, 1]) if near[0] else np.array([len(x) - 2, len(x) - 1])
    if len(chosen) < 2:
        return 0.0
    end = 0 if near[0] and not near[-1] else len(x) - 1
    if near[0] and near[-1]:
        return float(np.polyfit(x[chosen] - x.mean(), lnk[chosen], 1)[0])
    dx, dy = x[chosen] - x[end], lnk[chosen] - lnk[end]
    return float(np.sum(dx * dy) / np.sum(dx * dx))


def van_t_hoff(log_k: float, heat: float | None, wanted: Floats) -> Floats:
    """ln K at `wanted` [K] from log10 K at 298.15 K and a constant heat of dissolving [J/mol]."""
    slope = 0.0 if heat is None else heat / GAS_CONSTANT
    return np.asarray(log_k * np.log(10.0) - slope * (1.0 / wanted - 1.0 / 298.15))
