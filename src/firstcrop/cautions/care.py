"""Protection and first measures for each step, from the statements of what is handled in it:
short enough to read with goggles on."""

from __future__ import annotations

from firstcrop.bank.air import short_limit
from firstcrop.cautions.air import air_cases
from firstcrop.cautions.ghs.sheet import bottle
from firstcrop.cautions.records import Care
from firstcrop.cautions.scene import Scene

# (codes, what to put on or do), (codes, what to do at once); the first that applies leads
WEAR = (
    (("H314", "H318"), "goggles, gloves, apron"),
    (("H319", "H315", "H317", "H31", "H30"), "goggles, gloves"),
    (("H33", "H35", "H34", "H36"), "gloves; no dust, no vapour"),
    (("H22", "H27"), "no flame"),
)
FIRST = (
    (("H314", "H318"), "Eyes or skin: water, 20 minutes, lenses out, clothes off; call for help."),
    (("H319", "H315"), "Eyes: water for several minutes."),
    (("H330", "H331", "EUH071"), "Breathed in: fresh air, rest, doctor even if well."),
    (("H300", "H301", "H310", "H311"), "Swallowed or on skin: call a poison centre at once."),
    (("H302",), "Swallowed: rinse the mouth; call a poison centre if unwell."),
    (("H224", "H225", "H226"), "Fire: cover it, no water on it."),
)
MOST = 2  # lines of each kind
FROM_MEMORY = True


def care(scene: Scene) -> tuple[Care, ...]:
    """One entry per step in which something classified is handled or a gas passes its limit."""
    toxic = {case.step: case for case in air_cases(scene.forecast) if case.grade > 1.0}
    found = []
    for number, codes in _codes_by_step(scene).items():
        gas = toxic.get(number)
        wear = _told(WEAR, codes)
        first = _told(FIRST, codes)
        if gas is not None and short_limit(gas.gas) is not None:
            wear = (*wear, f"fume cupboard or outdoors ({gas.name})")
            first = (f"{gas.name} smelt or coughing: out, fresh air, doctor.", *first)
        if wear or first:
            found.append(Care(number, wear[: MOST + 1], first[: MOST + 1], FROM_MEMORY))
    return tuple(found)


def _codes_by_step(scene: Scene) -> dict[int, frozenset[str]]:
    """H codes of everything that stands in, or goes into, the vessel of each step."""
    by_key = {
        stuff.key: bottle(stuff).codes
        for stuff in scene.story.materials.values()
        if stuff.substance is not None and not stuff.guessed
    }
    found: dict[int, frozenset[str]] = {
        step.number: frozenset() for step in scene.forecast.preparation.steps
    }
    for meeting in scene.story.meetings:
        here = {code for key in meeting.added.masses for code in by_key.get(key, ())}
        found[meeting.step] = found.get(meeting.step, frozenset()) | here
    for warmth in scene.story.warmths:
        here = {code for key in warmth.contents.masses for code in by_key.get(key, ())}
        found[warmth.step] = found.get(warmth.step, frozenset()) | here
    return found


def _told(rows: tuple[tuple[tuple[str, ...], str], ...], codes: frozenset[str]) -> tuple[str, ...]:
    told = [words for marks, words in rows if any(code.startswith(marks) for code in codes)]
    if rows is WEAR and any("goggles" in words for words in told[:1]):
        told = [told[0], *(words for words in told[1:] if "goggles" not in words)]
    return tuple(told)
