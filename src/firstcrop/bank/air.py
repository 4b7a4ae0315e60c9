"""Published limits for the air one breathes, and the room a run is taken to be done in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from firstcrop.bank.tables import read_table

DANGER = "danger"
SHORT = ("15min", "ceiling")


@dataclass(frozen=True, slots=True)
class AirLimit:
    """ppm of a gas that a body allows: 8h and 15min are means; danger is NIOSH's IDLH."""

    gas: str
    body: str
    kind: str  # 8h, 15min, ceiling, danger
    ppm: float
    source: str

    @property
    def words(self) -> str:
        """As a person would say it: "0.5 ppm (NIOSH, ceiling)"."""
        kind = {"8h": "8 h mean", "15min": "15 min mean", "danger": "immediately dangerous"}
        return f"{self.ppm:g} ppm ({self.body}, {kind.get(self.kind, self.kind)})"


@cache
def air_limits() -> Mapping[str, tuple[AirLimit, ...]]:
    """The rows of `exposure_limits.tsv` by gas."""
    found: dict[str, list[AirLimit]] = {}
    for row in read_table("exposure_limits"):
        limit = AirLimit(
            row.text("gas"),
            row.text("body"),
            row.text("kind"),
            float(row.text("ppm")),
            row.text("source"),
        )
        found.setdefault(limit.gas, []).append(limit)
    return MappingProxyType({gas: tuple(rows) for gas, rows in found.items()})


def danger_limit(gas: str) -> AirLimit | None:
    """What is immediately dangerous to life or health."""
    return _lowest(gas, (DANGER,))


def short_limit(gas: str) -> AirLimit | None:
    """The lowest of the limits for a quarter of an hour and the ceilings; the lowest 8 h mean
    where there is none."""
    return _lowest(gas, SHORT) or _lowest(gas, ("8h",))


def _lowest(gas: str, kinds: tuple[str, ...]) -> AirLimit | None:
    rows = [limit for limit in air_limits().get(gas, ()) if limit.kind in kinds]
    return min(rows, key=lambda limit: limit.ppm, default=None)


@dataclass(frozen=True, slots=True)
class Room:
    """`volume` m3, `air_changes` 1/s, `mixing`: part of the room whose air mixes near the source,
    `head`: m3 of air around a head; `assumed`: not written in the sheet."""

    volume: float
    air_changes: float
    mixing: float
    head: float
    assumed: bool = True


@cache
def usual_room() -> Room:
    """The room of `room.tsv`."""
    value = {row.text("key"): float(row.text("value")) for row in read_table("room")}
    return Room(value["volume"], value["air_changes"] / 3600.0, value["mixing"], value["head"])
