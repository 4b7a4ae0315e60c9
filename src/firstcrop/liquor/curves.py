"""Cubic interpolation on a grid by weights: the same weights serve every table on that grid."""

from __future__ import annotations

from firstcrop.liquor.compiled import compiled
from firstcrop.liquor.system import Floats


@compiled
def weights(grid: Floats, x: float, value: Floats, slope: Floats) -> int:
    """Fill `value` [4] and `slope` [4]; return the first of the (up to) four nodes they weigh.

    Cubic Hermite between the nodes, tangents from the parabola through three nodes, so a
    quadratic table is reproduced exactly and the first derivative is continuous. Outside the
    grid the end tangent is followed. A grid of one node is a constant.
    """
    size = len(grid)
    for n in range(4):
        value[n] = slope[n] = 0.0
    if size == 1:
        value[0] = 1.0
        return 0
    inside = min(max(x, grid[0]), grid[size - 1])
    k = 0
    while k < size - 2 and grid[k + 1] <= inside:
        k += 1
    first = min(max(k - 1, 0), max(size - 4, 0))
    width = grid[k + 1] - grid[k]
    t = (inside - grid[k]) / width
    here, there = k - first, k + 1 - first
    value[here] += 1.0 + t * t * (2.0 * t - 3.0)
    value[there] += t * t * (3.0 - 2.0 * t)
    slope[here] += 6.0 * t * (t - 1.0) / width
    slope[there] -= 6.0 * t * (t - 1.0) / width
    _tangent(grid, k, first, width * t * (t - 1.0) ** 2, (3.0 * t - 1.0) * (t - 1.0), value, slope)
    _tangent(grid, k + 1, first, width * t * t * (t - 1.0), t * (3.0 * t - 2.0), value, slope)
    for n in range(4):
        value[n] += (x - inside) * slope[n]
    return first


@compiled
def _tangent(
    grid: Floats, k: int, first: int, factor: float, rate: float, value: Floats, slope: Floats
) -> None:
    size = len(grid)
    if size == 2:
        step = grid[1] - grid[0]
        for row, sign in ((0, -1.0), (1, 1.0)):
            value[row] += factor * sign / step
            slope[row] += rate * sign / step
        return
    mid = min(max(k, 1), size - 2)
    a, b, c = grid[mid - 1], grid[mid], grid[mid + 1]
    x = grid[k]
    parts = (
        (2.0 * x - b - c) / ((a - b) * (a - c)),
        (2.0 * x - a - c) / ((b - a) * (b - c)),
        (2.0 * x - a - b) / ((c - a) * (c - b)),
    )
    for n in range(3):
        value[mid - 1 - first + n] += factor * parts[n]
        slope[mid - 1 - first + n] += rate * parts[n]


@compiled
def read(row: Floats, first: int, weight: Floats) -> float:
    """The weighted sum of a table row: nodes with weight zero are not touched (may be NaN)."""
    total = 0.0
    for n in range(min(4, len(row) - first)):
        if weight[n] != 0.0:
            total += weight[n] * row[first + n]
    return total
