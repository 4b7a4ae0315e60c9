"""Replicates that stand apart: flagged, never dropped.

Grubbs, Technometrics 11 (1969) 1-21; the two-sided critical value from Student's t as in the
NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.1.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from firstcrop.shelf.gum import deviation, factor, mean

SOURCE = "Grubbs, Technometrics 11 (1969) 1-21"
LEVEL = 0.05  # chance of flagging a good replicate


def grubbs(values: Sequence[float]) -> tuple[int, float] | None:
    """Index and G of the value farthest from the mean in standard deviations; None when there is
    no spread to measure it by (fewer than three values, or all alike)."""
    spread = deviation(values)
    if len(values) < 3 or not spread > 0.0:
        return None
    middle = mean(values)
    index = max(range(len(values)), key=lambda i: abs(values[i] - middle))
    return index, abs(values[index] - middle) / spread


def critical(count: int, level: float = LEVEL) -> float:
    """G that is exceeded by chance in `level` of series of `count` good values, two-sided."""
    t = factor(1.0 - level / count, count - 2.0)
    return (count - 1) / math.sqrt(count) * math.sqrt(t * t / (count - 2 + t * t))


def outlier(values: Sequence[float]) -> int | None:
    """Index of a value that Grubbs' test says does not belong, None when there is none."""
    found = grubbs(values)
    if found is None or found[1] <= critical(len(values)):
        return None
    return found[0]
