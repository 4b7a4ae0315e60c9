"""Things that must not meet, seen from their names alone, whatever the equilibrium says."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from firstcrop.bank.mixing import Pairing, load_pairings, mixing_groups
from firstcrop.cautions.contents import Contents
from firstcrop.cautions.scene import Scene, graver, softer
from firstcrop.cautions.story import Meeting
from firstcrop.forecast.records import Caution
from firstcrop.problems import Severity


def mixing(scene: Scene) -> tuple[Caution, ...]:
    """One caution per pair of substances and reason, at the first and gravest meeting."""
    found: dict[tuple[str, str, str], Caution] = {}
    for meeting in scene.story.meetings:
        for pairing, a, b in _new_pairs(meeting):
            caution = _caution(meeting, pairing, a, b)
            earlier = found.get((pairing.key, a, b))
            if earlier is None or graver(earlier.severity, caution.severity) != earlier.severity:
                found[(pairing.key, a, b)] = caution
    return tuple(found.values())


def _new_pairs(meeting: Meeting) -> Iterator[tuple[Pairing, str, str]]:
    """Pairs of which the addition brings at least one side; each with the worst member."""
    groups = mixing_groups()
    new = set(meeting.added.masses)
    if meeting.added.wet:
        new.add("water")
    here = {*meeting.after.masses, *(["water"] if meeting.after.wet else [])}
    able = {group for key in here for group in _groups_of(key)}
    for pairing in load_pairings():
        if pairing.a not in able or pairing.b not in able:
            continue
        ones = _present(meeting.after, groups[pairing.a], pairing.a_min, meeting)
        others = _present(meeting.after, groups[pairing.b], pairing.b_min, meeting)
        pairs = [(a, b) for a in ones for b in others if a != b and (a in new or b in new)]
        if pairs:
            yield (
                pairing,
                *min(
                    pairs, key=lambda p: (p[0] in meeting.after.held) + (p[1] in meeting.after.held)
                ),
            )


@cache
def _groups_of(key: str) -> frozenset[str]:
    return frozenset(group for group, members in mixing_groups().items() if key in members)


def _present(
    contents: Contents, group: frozenset[str], minimum: float, meeting: Meeting
) -> list[str]:
    """Members here in at least the strength asked, in the mixture or as they were poured."""
    here = [key for key in contents.masses if key in group]
    if "water" in group and contents.wet:
        here.append("water")
    return [key for key in here if minimum <= _strength(contents, meeting, key)]


def _strength(contents: Contents, meeting: Meeting, key: str) -> float:
    if key == "water":
        return 1.0
    poured = meeting.added.share(key)
    stood = meeting.before.share(key)
    return max(contents.share(key), poured, stood)


def _caution(meeting: Meeting, pairing: Pairing, a: str, b: str) -> Caution:
    clinging = a in meeting.after.held or b in meeting.after.held
    severity = softer(pairing.severity) if clinging else pairing.severity
    where = " (left in the liquor that clings to the cake)" if clinging else ""
    return Caution(
        code=f"mixing.{pairing.key}",
        severity=severity,
        message=f"{a} meets {b}{where}.",
        why=pairing.message,
        source=pairing.source,
        remedy=pairing.remedy,
        step=meeting.step,
        place=meeting.place,
        unverified=pairing.obtained != "measured" and severity is not Severity.NOTE,
    )
