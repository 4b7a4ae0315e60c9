"""Bringing a material into a vessel: at once, over time, in portions; and the limits kept."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from firstcrop.forecast.contents import heat_capacity
from firstcrop.forecast.context import Context
from firstcrop.forecast.hull import Surroundings
from firstcrop.forecast.log import Log
from firstcrop.forecast.march import (
    Drive,
    Flow,
    conductance_of,
    flow,
    march,
    settle_gas,
    tip_in,
)
from firstcrop.forecast.stock import Stock
from firstcrop.forecast.world import Pot

CLOSE = 0.05  # K
LONGEST_WAIT = 3600.0  # s between two portions
MOST_PORTIONS = 60


@dataclass(frozen=True, slots=True)
class Pour:
    """How a material goes in. One of `seconds` and `portions`, or neither: at once."""

    stock: Stock
    label: str
    mass: float  # kg
    temperature: float  # K
    seconds: float | None = None
    portions: int | None = None
    below: float | None = None  # K, kept by waiting between portions


def pour(ctx: Context, pot: Pot, log: Log, how: Pour, drive: Drive) -> Pot:
    """The vessel after everything is in and the fizz is over."""
    if how.portions is not None and how.portions > 0:
        pot = _portions(ctx, pot, log, how, drive)
    elif how.seconds is not None and how.seconds > 0.0:
        pot = march(ctx, pot, log, how.seconds, drive, _flow(ctx, how, how.mass))
    else:
        pot = tip_in(ctx, pot, log, _flow(ctx, how, how.mass))
        if drive.hold is not None:
            drive = replace(drive, hold=None)
    return settle_gas(ctx, pot, log, drive)


def _flow(ctx: Context, how: Pour, mass: float) -> Flow:
    return flow(ctx, how.label, how.stock, mass, how.temperature)


def _portions(ctx: Context, pot: Pot, log: Log, how: Pour, drive: Drive) -> Pot:
    count = how.portions or 1
    share = how.mass / count
    start = pot.contents.temperature
    ready = ready_temperature(ctx, start, how.below)
    for i in range(count):
        if i:
            pot = _wait(ctx, pot, log, how, drive, ready)
        pot = tip_in(ctx, pot, log, _flow(ctx, how, share))
    return pot


def ready_temperature(ctx: Context, start: float, below: float | None) -> float:
    """K to which one lets it cool before the next portion; inf without a limit."""
    if below is None:
        return math.inf
    return start + ctx.knobs.practice("portion_ready") * max(below - start, 0.0)


def _wait(ctx: Context, pot: Pot, log: Log, how: Pour, drive: Drive, ready: float) -> Pot:
    """Let the vessel stand until it is ready for the next portion."""
    count = how.portions or 1
    if how.seconds is not None:
        return march(ctx, pot, log, how.seconds / count, drive)
    gap = ctx.knobs.practice("portion_gap")
    if not math.isfinite(ready) or drive.hold is not None:
        return march(ctx, pot, log, gap, drive)
    waited = 0.0
    while pot.contents.temperature > ready + CLOSE and waited < LONGEST_WAIT:
        wait = min(max(_cooling_time(ctx, pot, drive, ready), gap), LONGEST_WAIT)
        pot = march(ctx, pot, log, wait, drive)
        waited += wait
    return pot


def _cooling_time(ctx: Context, pot: Pot, drive: Drive, ready: float) -> float:
    """s to cool to `ready` K by the present loss of heat."""
    conductance = conductance_of(ctx, pot, drive)
    far = pot.contents.temperature - drive.around.temperature
    near = ready - drive.around.temperature
    if conductance <= 0.0 or far <= 0.0 or near <= 0.0:
        return 0.0
    capacity = heat_capacity(pot.contents, ctx.chem) + pot.wall.heat_capacity
    return capacity / conductance * math.log(far / near)


def cools_to(around: Surroundings, ready: float) -> bool:
    """Whether waiting in these surroundings ever brings the vessel to `ready` K."""
    return around.temperature < ready - 0.2


def peak_since(log: Log, first: int) -> float:
    """K, the highest temperature since instant `first`."""
    return max((i.temperature for i in log.instants[first:]), default=math.nan)
