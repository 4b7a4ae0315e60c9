"""What time does to a bottle: a factor on its strength with a 90 % band, or "not known"."""

from __future__ import annotations

import math
from dataclasses import dataclass

from firstcrop.bank.bank import Bank
from firstcrop.bank.practice import load_practice
from firstcrop.quantity.records import Strength
from firstcrop.shelf.records import Ageing, Level

DAY = 86400.0  # s
YEAR = 365.25  # d


@dataclass(frozen=True, slots=True)
class Case:
    """A bottle that has stood `days` since its strength was known; `warm` is the temperature of
    the shelf in K with the lower and upper end of what it may have been."""

    level: Level
    bank: Bank
    strength: Strength
    days: float
    warm: tuple[float, float, float]


def unchanged(how: str, source: str = "", obtained: str = "") -> Ageing:
    """No change worth a number."""
    return Ageing(1.0, 1.0, 1.0, how, source, obtained)


def not_known(how: str) -> Ageing:
    """There is no basis for a number."""
    return Ageing(math.nan, math.nan, math.nan, how)


def lost(low: float, value: float, high: float, how: str, source: str, obtained: str) -> Ageing:
    """A part between `low` and `high` is gone."""
    ends = [min(max(1.0 - float(part), 0.0), 1.0) for part in (high, value, low)]
    return Ageing(ends[0], ends[1], ends[2], how, source, obtained)


def practice(key: str) -> tuple[float, float, float]:
    """A value of how bottles keep, and the ends of its band."""
    row = load_practice("shelf")[key]
    return row.value, row.low, row.high


def warmth(level: Level) -> tuple[float, float, float]:
    """K of the shelf: as stated with its usual straying, else that of any shelf."""
    stated = level.bottle.temperature
    if stated is None:
        return practice("stored_temperature")
    spread = practice("stored_spread")[0]
    return stated, stated - spread, stated + spread
