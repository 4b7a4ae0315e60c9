"""Things that must not meet, seen from their names alone, whatever the equilibrium says."""

from __future__ import annotations

from collections.abc import Iterator

from firstcrop.bank.mixing import Pairing, load_pairings
from firstcrop.cautions.contents import Contents
from firstcrop.cautions.groups import groups_of
from firstcrop.cautions.say import say
from firstcrop.cautions.scene import Scene, graver, softer
from firstcrop.cautions.story import Meeting
from firstcrop.forecast.records import Caution
from firstcrop.problems import Severity

WATER = "water"
CLINGING = " (left in the liquor that clings to the cake)"


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
    new = set(meeting.added.masses) | ({WATER} if meeting.added.wet else set())
    members = _members(meeting.after)
    for pairing in load_pairings():
        if pairing.a not in members or pairing.b not in members:
            continue
        ones = _strong_enough(members[pairing.a], pairing.a_min, meeting)
        others = _strong_enough(members[pairing.b], pairing.b_min, meeting)
        pairs = [(a, b) for a in ones for b in others if a != b and (a in new or b in new)]
        if pairs:
            a, b = min(pairs, key=lambda pair: sum(key in meeting.after.held for key in pair))
            yield pairing, a, b


def _members(contents: Contents) -> dict[str, list[str]]:
    """Group -> keys of the substances here that belong to it."""
    found: dict[str, list[str]] = {"water": [WATER]} if contents.wet else {}
    for key, substance in contents.substances.items():
        for group in groups_of(substance):
            found.setdefault(group, []).append(key)
    return found


def _strong_enough(keys: list[str], minimum: float, meeting: Meeting) -> list[str]:
    """Those here in at least the strength asked, in the mixture or as they were poured."""
    return [key for key in keys if minimum <= _strength(meeting.after, meeting, key)]


def _strength(contents: Contents, meeting: Meeting, key: str) -> float:
    if key == WATER:
        return 1.0
    poured = meeting.added.share(key)
    stood = meeting.before.share(key)
    return max(contents.share(key), poured, stood)


def _caution(meeting: Meeting, pairing: Pairing, a: str, b: str) -> Caution:
    clinging = a in meeting.after.held or b in meeting.after.held
    severity = softer(pairing.severity) if clinging else pairing.severity
    return say(
        "mixing",
        meeting.step,
        meeting.place,
        code=f"mixing.{pairing.key}",
        severity=severity,
        unverified=pairing.obtained != "measured" and severity is not Severity.NOTE,
        a=a,
        b=b,
        where=CLINGING if clinging else "",
        why=pairing.message,
        source=pairing.source,
        remedy=pairing.remedy,
    )
