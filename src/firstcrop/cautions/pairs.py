"""Which pairs that must be minded come together, when, and how much gas they could make at most.

Seen from the names alone, whatever the equilibrium says: an equilibrium that is missing a
reaction would keep silent.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from types import MappingProxyType

from firstcrop.bank.mixing import Pairing, load_pairings, mixing_groups
from firstcrop.bank.records import Substance
from firstcrop.cautions.contents import Contents
from firstcrop.cautions.groups import BY_COMPONENT, groups_of
from firstcrop.cautions.story import Meeting

WATER = "water"
PROTON_GROUPS = ("acid", "strong acid", "mineral acid", "sulfuric acid", "nitric acid",
                 "hydrochloric acid", "sulfamic acid")  # fmt: skip
ALKALI_GROUPS = ("alkali", "caustic")


@dataclass(frozen=True, slots=True)
class Met:
    """Two substances of a pairing in one vessel. `gas` is the most of its product, mol: NaN when
    no amount is known, 0 when it makes none that is counted."""

    meeting: Meeting
    pairing: Pairing
    a: str
    b: str
    gas: float = 0.0

    @property
    def clinging(self) -> bool:
        """One of the two is here only in liquor that clings to a cake."""
        return self.a in self.meeting.after.held or self.b in self.meeting.after.held


def meets(meetings: Iterable[Meeting]) -> tuple[Met, ...]:
    """Every pair of every meeting to which the addition brings at least one side."""
    return tuple(met for meeting in meetings for met in _new(meeting))


def _new(meeting: Meeting) -> Iterator[Met]:
    made = set(meeting.after.masses) - set(meeting.before.masses)
    new = made | set(meeting.added.masses) | ({WATER} if meeting.added.wet else set())
    members = members_of(meeting.after)
    groups = frozenset(members)
    for pairing in possible(groups):
        ones = _strong_enough(members[pairing.a], pairing.a_min, meeting)
        others = _strong_enough(members[pairing.b], pairing.b_min, meeting)
        pairs = [(a, b) for a in ones for b in others if a != b and (a in new or b in new)]
        if pairs:
            a, b = min(pairs, key=lambda pair: sum(key in meeting.after.held for key in pair))
            yield Met(meeting, pairing, a, b, most_gas(meeting.after, pairing, a, b))


@lru_cache(maxsize=512)
def possible(groups: frozenset[str]) -> tuple[Pairing, ...]:
    """The pairings both of whose sides are among the groups."""
    return tuple(p for p in load_pairings() if p.a in groups and p.b in groups)


def members_of(contents: Contents) -> dict[str, list[str]]:
    """Group -> keys of the substances here that belong to it."""
    found: dict[str, list[str]] = {WATER: [WATER]} if contents.wet else {}
    for key, substance in contents.substances.items():
        for group in groups_of(substance):
            found.setdefault(group, []).append(key)
    return found


def _strong_enough(keys: list[str], minimum: float, meeting: Meeting) -> list[str]:
    """Those here in at least the strength asked, in the mixture or as they were poured."""
    if minimum <= 0.0:
        return keys
    return [key for key in keys if minimum <= _strength(meeting, key)]


def _strength(meeting: Meeting, key: str) -> float:
    if key == WATER:
        return 1.0
    shares = (meeting.after.share(key), meeting.added.share(key), meeting.before.share(key))
    return max(shares)


def most_gas(contents: Contents, pairing: Pairing, a: str, b: str) -> float:
    """mol of the pairing's product at most, from the moles of the two that are here."""
    if pairing.gas_a is None and pairing.gas_b is None:
        return 0.0
    sides = ((pairing.gas_a, pairing.a, a), (pairing.gas_b, pairing.b, b))
    told = [
        factor * _units(contents, group, key) for factor, group, key in sides if factor is not None
    ]
    known = [amount for amount in told if not math.isnan(amount)]
    return min(known) if known else math.nan


def _units(contents: Contents, group: str, key: str) -> float:
    """mol of what counts of a substance: protons of an acid, hypochlorite, metal atoms ..."""
    substance, mass = contents.substances.get(key), contents.masses.get(key, math.nan)
    if substance is None or not substance.molar_mass:
        return math.nan
    return mass / substance.molar_mass * _count(substance, group)


def _count(substance: Substance, group: str) -> float:
    units = metal_units().get(substance.key)
    if units is not None:
        return units
    parts = dict(substance.components)
    if group in PROTON_GROUPS:
        return max(parts.get("H+", 1.0), 1.0)
    if group in ALKALI_GROUPS:
        return max(-parts.get("H+", -1.0), 1.0)
    active = [parts[c] for c, names in BY_COMPONENT if group in names and c in parts]
    return max(active, default=1.0)


@cache
def metal_units() -> Mapping[str, float]:
    """Metals of which an atom makes more than one molecule of hydrogen, from the groups."""
    trivalent = mixing_groups().get("trivalent metal", frozenset())
    return MappingProxyType(dict.fromkeys(trivalent, 1.5))
