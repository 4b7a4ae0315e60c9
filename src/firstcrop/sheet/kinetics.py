"""`## Reactions`: an equation and, after semicolons, how fast and how far it goes."""

from __future__ import annotations

from difflib import get_close_matches
from functools import lru_cache
from itertools import pairwise
from typing import Any

from firstcrop.chem.balance import balance
from firstcrop.chem.equation import Equation, check, parse_equation, write_equation
from firstcrop.problems import Problem
from firstcrop.sheet.hints import examples
from firstcrop.sheet.mistakes import mistake
from firstcrop.sheet.page import Passage
from firstcrop.sheet.records import Rate, Reaction
from firstcrop.sheet.slots import find, hear

_KNOWN = (
    "half-life 6 min at 70 °C; doubles every 10 °C (or activation energy 60 kJ/mol); "
    "second order; goes 92 % of the way; instant"
)


@lru_cache(maxsize=512)
def read_reaction(passage: Passage) -> tuple[Reaction | None, tuple[Problem, ...]]:
    """A Reaction (None when its equation cannot be used) and what is wrong with the line."""
    problems: list[Problem] = []
    parts = _split(passage)
    equation = _equation(parts[0], problems)
    rate = _rate(parts[1:], problems)
    found = Reaction(equation, rate, passage.text, passage.place()) if equation else None
    return found, tuple(problems)


def _split(passage: Passage) -> list[Passage]:
    parts, start = [], 0
    for end in [i for i, c in enumerate(passage.text) if c == ";"] + [len(passage.text)]:
        parts.append(passage.part(start, end))
        start = end + 1
    return [p for i, p in enumerate(parts) if p.text or i == 0]


def _equation(part: Passage, problems: list[Problem]) -> Equation | None:
    text = part.text.strip("`").rstrip(".")
    place = part.place()
    equation = parse_equation(text, place)
    if isinstance(equation, Problem):
        where = equation.places[0] if equation.places else place
        why = equation.message.rstrip(".")
        problems.append(mistake("reaction-unclear", where, text=text, why=why))
        return None
    wrong = check(equation)
    if wrong is not None:
        better = balance(equation)
        remedy = "add what is missing, or correct a formula"
        if isinstance(better, Equation):
            remedy = f"balanced it reads: {write_equation(better)}"
        why = wrong.message.removeprefix("The equation does not balance: ").rstrip(".")
        problems.append(mistake("reaction-unbalanced", place, why=why, remedy=remedy))
        return None
    return equation


def _rate(parts: list[Passage], problems: list[Problem]) -> Rate:
    values: dict[str, Any] = {}
    said: dict[str, Passage] = {}
    for part in parts:
        for phrase in _phrases(part):
            settings = _settings(phrase)
            if settings is None:
                problems.append(_unclear(phrase))
                continue
            twice = next((said[name] for name in settings if name in said), None)
            if twice is not None:
                problems.append(_contradiction(phrase, twice))
            for name, value in settings.items():
                values.setdefault(name, value)
                said.setdefault(name, phrase)
    _consistent(values, said, problems)
    if "half_life" in values:
        values.setdefault("order", 1)
    return Rate(**values)


def _unclear(phrase: Passage) -> Problem:
    """A phrase that is none of the known ones, with the nearest of them."""
    close = get_close_matches(phrase.text, examples("kinetics"), n=1, cutoff=0.6)
    near = f"write for example: {close[0] if close else _KNOWN}"
    return mistake("rate-unclear", phrase.place(), text=phrase.text, near=near)


def _phrases(part: Passage) -> list[Passage]:
    """Comma-separated phrases of a part."""
    cuts = [i for i, c in enumerate(part.text) if part.text[i : i + 2] == ", "]
    edges = [-1, *cuts, len(part.text)]
    pieces = (part.part(a + 1, b) for a, b in pairwise(edges))
    return [p for p in pieces if p.text]


def _settings(phrase: Passage) -> dict[str, Any] | None:
    text = phrase.plain().rstrip(".")
    speech = hear(text)
    match = find("kinetics", speech, 0)
    if match is None or match.end < len(speech.tokens):
        return None
    return {k: int(str(v)) if k == "order" else v for k, v in match.settings}


def _contradiction(one: Passage, other: Passage) -> Problem:
    places = (one.place(), other.place())
    return mistake("rate-contradiction", places, text=one.text, other=other.text)


def _consistent(values: dict[str, Any], said: dict[str, Passage], problems: list[Problem]) -> None:
    if "doubles_every" in values and "activation_energy" in values:
        problems.append(_contradiction(said["activation_energy"], said["doubles_every"]))
    if values.get("order") == 0 and "half_life" in values:
        problems.append(_contradiction(said["half_life"], said["order"]))
    for name in ("doubles_every", "activation_energy"):
        if name in values and "at" not in values:
            near = f"write a half-life with it: half-life 6 min at 70 °C; {said[name].text}"
            part = said[name]
            problems.append(mistake("rate-unclear", part.place(), text=part.text, near=near))
    if values.get("order", 0) > 0 and "half_life" not in values:
        part = said["order"]
        near = f"write a half-life with it: {part.text}; half-life 6 min at 70 °C"
        problems.append(mistake("rate-unclear", part.place(), text=part.text, near=near))
