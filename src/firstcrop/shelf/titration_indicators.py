"""Which indicator shows an equivalence point, and by how much it is early or late."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache

import numpy as np

from firstcrop.bank.tables import Row, read_table
from firstcrop.liquor.system import Floats
from firstcrop.shelf.titration_records import Shown

GOOD = 0.002  # part of the titre by which the middle of the change may be early or late
WIDE = 0.01  # part of the titre the whole change may take; both common practice


@cache
def _rows() -> tuple[Row, ...]:
    return read_table("indicator_intervals")


def indicators(
    volumes: Floats, values: Floats, points: Sequence[float], counted: int, scale: str
) -> tuple[Shown, ...]:
    """Every indicator of the scale, the one that errs least first.

    The curve (m3, pH or pAg) is read between the neighbouring equivalences; NaN: it never turns
    there. An indicator fits when the middle of its change lies within 0.2 % of the titre and the
    change takes no more than 1 %.
    """
    point = points[counted]
    before = 0.5 * (points[counted - 1] + point) if counted else 0.0
    part = (volumes >= before) & (volumes <= 1.5 * point)
    at, seen = volumes[part], values[part]
    if len(at) < 2:
        return ()
    rising = bool(seen[-1] > seen[0])
    found = [_shown(row, at, seen, point, rising) for row in _rows() if row.text("scale") == scale]
    return tuple(sorted(found, key=_worth))


def _shown(row: Row, at: Floats, seen: Floats, point: float, rising: bool) -> Shown:
    low, high = float(row.text("low")), float(row.text("high"))
    order = (low, high) if rising else (high, low)
    colours = (row.text("below"), row.text("above"))
    begins, middle, ends = (
        _crossing(at, seen, v, rising) / point - 1.0
        for v in (order[0], 0.5 * (low + high), order[1])
    )
    fits = abs(middle) <= GOOD and ends - begins <= WIDE
    shown = colours if rising else (colours[1], colours[0])
    return Shown(row.text("name"), low, high, shown, begins, middle, ends, fits)


def _crossing(at: Floats, seen: Floats, value: float, rising: bool) -> float:
    """Volume at which the curve passes a value; NaN when it does not."""
    along = seen if rising else -seen
    wanted = value if rising else -value
    if not along[0] <= wanted <= along[-1]:
        return math.nan
    return float(np.interp(wanted, np.maximum.accumulate(along), at))


def _worth(shown: Shown) -> tuple[bool, float]:
    worst = max(abs(e) for e in (shown.begins, shown.middle, shown.ends))
    return not shown.fits, worst if math.isfinite(worst) else math.inf
