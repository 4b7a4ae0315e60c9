"""What has come together in a vessel, by name and rough mass."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from firstcrop.bank.records import Substance
from firstcrop.cautions.stuff import WATERS, Stuff

FILM = 0.01  # of what was in a vessel stays on its wall: common practice
_EMPTY: Mapping[str, float] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Contents:
    """kg of each substance (NaN: some, unknown), the strongest form in which each came (kg/kg),
    kg of water, and the substances that are here only in liquor clinging to a cake."""

    masses: Mapping[str, float] = field(default_factory=lambda: _EMPTY)
    strongest: Mapping[str, float] = field(default_factory=lambda: _EMPTY)
    substances: Mapping[str, Substance] = field(default_factory=lambda: MappingProxyType({}))
    water: float = 0.0
    held: frozenset[str] = frozenset()
    unknown: tuple[str, ...] = ()  # materials the bank does not know

    @property
    def empty(self) -> bool:
        """Nothing has been put in."""
        return not self.masses and not self.water and not self.unknown

    @property
    def wet(self) -> bool:
        """There is water, in what amount whatever."""
        return math.isnan(self.water) or self.water > 0.0

    def total(self) -> float:
        """kg in all; NaN when one amount is open."""
        return self.water + math.fsum(self.masses.values())

    def share(self, key: str) -> float:
        """kg/kg of a substance here, never less than it can be: where an amount is open, the
        strength in which it came."""
        if key not in self.masses:
            return 0.0
        total = self.total()
        if math.isnan(total) or total <= 0.0:
            return self._strongest_share(key)
        return self.masses[key] / total

    def _strongest_share(self, key: str) -> float:
        """With open amounts: against the known matter only."""
        mass = self.masses[key]
        known = [m for k, m in self.masses.items() if k != key and not math.isnan(m)]
        water = 0.0 if math.isnan(self.water) else self.water
        if math.isnan(mass):
            return self.strongest[key]
        whole = mass + math.fsum(known) + water
        return min(mass / whole, self.strongest[key]) if whole > 0.0 else 0.0

    def with_stuff(self, stuff: Stuff, mass: float) -> Contents:
        """After an addition of `mass` kg (NaN: open)."""
        if stuff.substance is None:
            return Contents(
                self.masses,
                self.strongest,
                self.substances,
                self.water,
                self.held,
                (*self.unknown, stuff.name),
            )
        if stuff.key in WATERS:
            return self._wetter(mass)
        share = stuff.strongest
        water = mass * (1.0 - share) if stuff.rest else 0.0
        more = Contents(
            MappingProxyType({stuff.key: mass * share}),
            MappingProxyType({stuff.key: share}),
            MappingProxyType({stuff.key: stuff.substance}),
            water,
        )
        return self.merged(more)

    def _wetter(self, mass: float) -> Contents:
        return Contents(
            self.masses,
            self.strongest,
            self.substances,
            self.water + mass,
            self.held,
            self.unknown,
        )

    def merged(self, other: Contents) -> Contents:
        """Both together."""
        masses = dict(self.masses)
        strongest = dict(self.strongest)
        for key, mass in other.masses.items():
            masses[key] = masses.get(key, 0.0) + mass
            strongest[key] = max(strongest.get(key, 0.0), other.strongest[key])
        open_here = set(self.masses) - self.held
        open_there = set(other.masses) - other.held
        return Contents(
            MappingProxyType(masses),
            MappingProxyType(strongest),
            MappingProxyType({**self.substances, **other.substances}),
            self.water + other.water,
            (self.held | other.held) - open_here - open_there,
            (*self.unknown, *other.unknown),
        )

    def liquor(self) -> Contents:
        """What runs through a filter: all that can dissolve."""
        gone = {k for k, s in self.substances.items() if s.phase == "solid" and not s.components}
        return self._without(gone)

    def cake(self) -> Contents:
        """What stays on a filter: the solids, and liquids only as they cling."""
        clinging = {k for k, s in self.substances.items() if s.phase != "solid"}
        return Contents(
            self.masses,
            self.strongest,
            self.substances,
            self.water * 0.1,
            self.held | clinging,
            self.unknown,
        )

    def film(self) -> Contents:
        """What clings to a vessel that was emptied: a hundredth, all of it only clinging."""
        return Contents(
            MappingProxyType({k: v * FILM for k, v in self.masses.items()}),
            self.strongest,
            self.substances,
            self.water * FILM,
            frozenset(self.masses),
            self.unknown,
        )

    def _without(self, gone: Iterable[str]) -> Contents:
        out = set(gone)
        return Contents(
            MappingProxyType({k: v for k, v in self.masses.items() if k not in out}),
            MappingProxyType({k: v for k, v in self.strongest.items() if k not in out}),
            MappingProxyType({k: v for k, v in self.substances.items() if k not in out}),
            self.water,
            self.held - out,
            self.unknown,
        )
