"""Bottles that should not stand together: what a leak or a mistake would bring about."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations

from firstcrop.bank.lookup import Named, substance_named
from firstcrop.bank.mixing import Pairing, load_gas_hazards, load_pairings
from firstcrop.bank.records import Substance
from firstcrop.cautions.groups import groups_of
from firstcrop.cautions.matrix import cell_between
from firstcrop.cautions.say import say
from firstcrop.cautions.stuff import fraction_of
from firstcrop.forecast.records import Bottle, Caution
from firstcrop.problems import UNPLACED, Severity

WATERY = ("water",)  # a group that does not stand on a shelf as a neighbour
GRAVE = (Severity.ERROR, Severity.WARNING)
BURSTS = ("fire", "explosive", "heat")


@dataclass(frozen=True, slots=True)
class _Held:
    key: str
    substance: Substance
    fraction: float


def neighbours(bottles: Iterable[Bottle], bank: Named) -> tuple[Caution, ...]:
    """One caution per pair of bottles and reason, the gravest first. A bottle whose strength
    nobody knows counts as the strongest there is; one whose substance the bank does not know is
    left out (and is told by the shelf)."""
    held = []
    for bottle in bottles:
        substance = substance_named(bank, bottle.substance)
        if substance is not None:
            strength = bottle.strength
            fraction = 1.0 if strength is None else fraction_of(strength, substance)
            held.append(_Held(bottle.key, substance, fraction))
    found = [c for one, other in combinations(held, 2) for c in _pair(one, other)]
    order = (Severity.ERROR, Severity.WARNING, Severity.NOTE)
    return tuple(sorted(found, key=lambda c: (order.index(c.severity), c.code, c.message)))


def _pair(one: _Held, other: _Held) -> list[Caution]:
    if one.substance.key == other.substance.key:
        return []
    gases = load_gas_hazards()
    rows = [p for p in load_pairings() if _meets(p, one, other) or _meets(p, other, one)]
    grave = [
        p for p in rows
        if p.severity in GRAVE and (p.product in gases or p.product in BURSTS)
    ]  # fmt: skip
    if grave:
        lead = min(grave, key=lambda p: GRAVE.index(p.severity))
        told = (lead.message, lead.source, lead.obtained != "measured")
        return [_say(one, other, lead.key, lead.severity, told)]
    cell = None if rows else cell_between(one.substance, other.substance)
    if cell is None:
        return []
    told = (cell[1], "epa1980", cell[0].obtained != "measured")
    return [_say(one, other, "matrix", Severity.WARNING, told)]


def _meets(p: Pairing, one: _Held, other: _Held) -> bool:
    ours, theirs = groups_of(one.substance), groups_of(other.substance)
    strong = one.fraction >= p.a_min and other.fraction >= p.b_min
    return p.a in ours and p.b in theirs and p.b not in WATERY and strong


def _say(
    one: _Held, other: _Held, code: str, severity: Severity, told: tuple[str, str, bool]
) -> Caution:
    why, source, unverified = told
    return say(
        "neighbours",
        0,
        UNPLACED,
        code=f"neighbours.{code}",
        severity=severity,
        unverified=unverified,
        one=one.key,
        other=other.key,
        why=why,
        source=source,
    )
