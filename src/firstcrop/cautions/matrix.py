"""Pairs the published reactivity-group matrix warns of and no bench pair covers.

The matrix was made for wastes: it is asked only of things that are strong in the mixture, and
only fire, explosion, toxic and flammable gas are passed on. A blank cell says nothing.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from firstcrop.bank.matrix import Cell, epa_groups, epa_matrix
from firstcrop.bank.mixing import load_pairings
from firstcrop.bank.records import Obtained, Substance
from firstcrop.cautions.groups import groups_of
from firstcrop.cautions.say import say
from firstcrop.cautions.scene import Scene
from firstcrop.cautions.story import Meeting
from firstcrop.forecast.records import Caution

STRONG = 0.10  # kg/kg in the mixture from which the matrix is asked
WORDS = (("E", "explosion"), ("F", "fire"), ("GT", "toxic gas"), ("GF", "flammable gas"))


def matrix(scene: Scene) -> tuple[Caution, ...]:
    """One caution per pair of substances, at their first meeting."""
    found: dict[tuple[str, str], Caution] = {}
    for meeting in scene.story.meetings:
        if meeting.where:
            continue
        after = meeting.after
        asked = [k for k, s in after.substances.items() if k not in after.held and numbers_of(s)]
        here = [k for k in asked if len(asked) > 1 and after.share(k) >= STRONG]
        new = [k for k in here if k in meeting.added.masses]
        for a in new:
            for b in here:
                pair = (min(a, b), max(a, b))
                if a != b and pair not in found:
                    caution = _pair(meeting, a, b)
                    if caution is not None:
                        found[pair] = caution
    return tuple(found.values())


def _pair(meeting: Meeting, a: str, b: str) -> Caution | None:
    substances = meeting.after.substances
    told = cell_between(substances[a], substances[b])
    if told is None:
        return None
    cell, why = told
    return say(
        "unlisted-pair",
        meeting.step,
        meeting.place,
        code="mixing.matrix",
        unverified=cell.obtained is not Obtained.MEASURED,
        a=a,
        b=b,
        where="",
        why=why,
    )


@lru_cache(maxsize=4096)
def cell_between(a: Substance, b: Substance) -> tuple[Cell, str] | None:
    """The gravest cell between the groups of two substances and its words; None when there is
    none, or when a bench pair, which knows strengths, covers the two."""
    ours, theirs = groups_of(a), groups_of(b)
    if any(
        (p.a in ours and p.b in theirs) or (p.a in theirs and p.b in ours) for p in load_pairings()
    ):
        return None
    cells = [
        (cell, numbers)
        for numbers in _numbers(numbers_of(a), numbers_of(b))
        if (cell := epa_matrix().get(numbers)) is not None and _words(cell)
    ]
    if not cells:
        return None
    names = {g.number: g.name for g in epa_groups()}
    cell, (one, other) = max(cells, key=lambda c: len(_words(c[0])))
    told = f"groups {one} ({names[one].lower()}) and {other} ({names[other].lower()})"
    return cell, f"The reactivity matrix says {' and '.join(_words(cell))} for {told}."


def _words(cell: Cell) -> list[str]:
    return [word for code, word in WORDS if code in cell.codes]


def _numbers(ones: Iterable[int], others: Iterable[int]) -> set[tuple[int, int]]:
    return {(min(a, b), max(a, b)) for a in ones for b in others}


@lru_cache(maxsize=2048)
def numbers_of(substance: Substance) -> frozenset[int]:
    """The numbers of the reactivity groups a substance falls in."""
    groups = groups_of(substance)
    return frozenset(
        g.number for g in epa_groups() if substance.key in g.members or groups & g.groups
    )
