"""Read the sentences of a step: verbs, objects and phrases in any ordinary order."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from firstcrop.problems import Problem
from firstcrop.quantity.read import read_quantity_noted
from firstcrop.quantity.records import Kind, Quantity
from firstcrop.sheet.checks import check_clause
from firstcrop.sheet.draft import Draft
from firstcrop.sheet.hints import nearest
from firstcrop.sheet.lexer import TokenKind
from firstcrop.sheet.measures import measure
from firstcrop.sheet.mistakes import mistake
from firstcrop.sheet.names import is_vessel
from firstcrop.sheet.objects import bad_quantity, read_object
from firstcrop.sheet.page import Passage
from firstcrop.sheet.reader import Names, Reader
from firstcrop.sheet.records import Basket, Clause, Verb
from firstcrop.sheet.settle import merge, settle
from firstcrop.sheet.slots import Match, Speech, cut, find, hear, read_amount, without_remarks

_SEPARATORS = frozenset({",", ";", "and", "then", ".", ":", "next", "–", "—"})
_WITH_VERBS = frozenset({Verb.WASH, Verb.DILUTE, Verb.MAKE_UP, Verb.TITRATE})
_NOTED = MappingProxyType(
    {"quantity-decimal-comma": "decimal-comma", "quantity-unit-case": "unit-capitals"}
)


NO_NAMES = Names()


@lru_cache(maxsize=2048)
def read_step(
    passage: Passage, names: Names = NO_NAMES
) -> tuple[tuple[Clause, ...], tuple[Problem, ...]]:
    """The clauses of a step's text, in order, and every mistake in it. Cached: an edit of one
    step leaves the others as they were read."""
    spoken = hear(passage.plain(), names.all)
    speech, remarks = without_remarks(spoken)
    reader = Reader(speech, names, passage.place)
    for start, end in remarks:
        place, text = passage.place(start, end), passage.text[start:end]
        reader.problems.append(mistake("remark-kept", place, text=text))
    while reader.i < len(speech.tokens):
        _advance(reader)
    _finish(reader)
    reader.problems += _notes(speech, passage)
    return merge(reader.clauses), tuple(reader.problems)


def _notes(speech: Speech, passage: Passage) -> Iterator[Problem]:
    """What the reader of quantities remarks on: a decimal comma, odd capitals of a unit."""
    for token in speech.tokens:
        if token.kind is TokenKind.QUANTITY:
            _, notes = read_quantity_noted(token.text)
            for note in notes:
                if note.code in _NOTED:
                    place = passage.place(token.start, token.end)
                    yield mistake(_NOTED[note.code], place, text=note.message)


def _advance(r: Reader) -> None:
    """Read the next separator, verb, phrase or object, or report what stands there."""
    fresh, parted = r.draft is None, ""
    while r.speech.word(r.i) in _SEPARATORS and r.speech.kind(r.i) is not TokenKind.NAME:
        if r.speech.word(r.i) == "." and not _abbreviation(r):
            _finish(r)
        fresh, parted = True, parted + f" {r.speech.word(r.i)}"
        r.i += 1
    if r.i >= len(r.speech.tokens):
        return
    if fresh and (_verb(r) or _leading(r)):
        return
    if "then" in parted and r.draft is not None:  # "to 60 °C, then to 80 °C": the verb again
        verb = r.draft.verb
        _finish(r)
        r.draft = Draft(verb, r.i, r.i + 1, r.speech, r.locate)
    if ";" in parted and r.draft is not None and not _goes_on(r):
        _finish(r)
    if not (_phrase(r) or _with(r) or _object(r, fresh)):
        _give_up(r)


def _goes_on(r: Reader) -> bool:
    """Whether what stands behind a semicolon belongs to the clause before it."""
    phrase = find("phrase", r.speech, r.i) is not None
    return (
        phrase or r.speech.word(r.i) in ("with", "using") or read_amount(r.speech, r.i) is not None
    )


def _leading(r: Reader) -> bool:
    """Phrases before their verb: `Slowly add`, `Over 20 min, add`, `and slowly add`."""
    i, phrases = r.i, list[tuple[Match, int]]()
    while (match := find("phrase", r.speech, i)) is not None:
        phrases.append((match, i))
        i = match.end
        while r.draft is None and r.speech.word(i) == ",":
            i += 1
    if not phrases or find("verb", r.speech, i) is None:
        return False
    start, r.i = r.i, i
    _verb(r)
    assert r.draft is not None
    r.draft.start = start
    for match, at in phrases:
        r.draft.apply(_referred(r, match), at, match.end)
    return True


def _abbreviation(r: Reader) -> bool:
    """A full stop with a small letter or a number behind it ends no sentence: `approx. 5 mL`."""
    after = r.speech.tokens[r.i + 1].text if r.i + 1 < len(r.speech.tokens) else ""
    return after[:1].islower() or after[:1].isdigit()


def _verb(r: Reader) -> bool:
    if r.speech.kind(r.i) is TokenKind.NAME and r.draft is not None and " " in r.speech.word(r.i):
        return False
    start = r.i
    while r.speech.word(r.i) in ("now", "finally", "first", "immediately"):
        r.i += 1
    match = _particle(r, find("verb", r.speech, r.i))
    if match is None:
        r.i = start
        return False
    _finish(r)
    verb = Verb(match.wording.get("verb"))
    r.draft = Draft(verb, start, match.end, r.speech, r.locate)
    r.draft.apply(match.settings, r.i, match.end)
    r.draft.preset = frozenset(r.draft.fields)
    r.i = match.end
    return True


def _particle(r: Reader, match: Match | None) -> Match | None:
    """`Stir in an ice bath` stirs, `stir in 5 g of acid` adds: whose word is `in`?"""
    if match is None or r.speech.word(match.end - 1) != "in" or match.end - r.i < 2:
        return match
    phrase = find("phrase", r.speech, match.end - 1)
    if phrase is None:
        return match
    settings = dict(phrase.settings)
    place = "means" in settings or is_vessel(str(settings.get("into", "")), r.names.vessels)
    shorter = find("verb", cut(r.speech, match.end - 1), r.i) if place else None
    return shorter or match


def _phrase(r: Reader) -> bool:
    if r.draft is None:
        return False
    match = find("phrase", r.speech, r.i)
    if match is None or _is_wash(r.draft, match, r.i):
        return False
    r.draft.apply(_referred(r, match), r.i, match.end)
    r.i = match.end
    return True


def _is_wash(draft: Draft, match: Match, i: int) -> bool:
    """`wash with cold water` names the liquid, `cool with cold water` the bath."""
    water = draft.speech.word(i) == "with" and "water" in draft.speech.low[i : match.end]
    taker = draft.verb in _WITH_VERBS or bool(draft.fields.get("swap"))
    return water and taker and not ("what" in draft.fields and "into" in draft.fields)


def _referred(r: Reader, match: Match) -> tuple[tuple[str, object], ...]:
    """The settings with `it` replaced by what it refers to."""
    names = ("into", "what", "source")
    return tuple(
        (name, r.antecedent if name in names and value in ("it", "them") else value)
        for name, value in match.settings
    )


def _with(r: Reader) -> bool:
    """`with 15 mL of wash`: the liquid used; the object read before becomes the target."""
    draft = r.draft
    if draft is None or r.speech.word(r.i) not in ("with", "using", "by adding"):
        return False
    found = read_object(r, r.i + 1)
    if found is None:
        return False
    end, settings = found
    for old, new in (("what", "into"), ("amount", "into_amount")):
        if old in draft.fields:
            draft.fields[new] = draft.fields.pop(old)
            draft.spans[new] = draft.spans.pop(old)
    _take(r, settings, r.i + 1, end)
    return True


def _take(r: Reader, settings: dict[str, Any], start: int, end: int) -> None:
    """Apply an object; the place of its name is the name alone."""
    assert r.draft is not None
    at = settings.pop("name at", None)
    r.draft.apply(tuple(settings.items()), start, end)
    for name in ("what", "into"):
        if name in settings and at is not None and r.draft.spans.get(name) == (start, end):
            r.draft.spans[name] = (at, end)
    r.i = end


def _object(r: Reader, fresh: bool) -> bool:
    draft = r.draft
    if draft is None:
        return False
    found = read_object(r, r.i)
    if found is None:
        return False
    end, settings = found
    target = _WITH_VERBS | {draft.verb} if draft.fields.get("swap") else _WITH_VERBS
    if draft.verb in target and "what" not in draft.fields and "into" not in draft.fields:
        renamed = {"what": "into", "amount": "into_amount"}
        settings = {renamed.get(k, k): v for k, v in settings.items()}
    elif "what" in draft.fields or "amount" in draft.fields:
        if not fresh:
            return False
        draft.put_object_aside()
    _take(r, settings, r.i, end)
    return True


def _give_up(r: Reader) -> None:
    """Report what stands here and go on after the next separator."""
    start = r.i
    r.i += 1
    while r.i < len(r.speech.tokens) and r.speech.word(r.i) not in _SEPARATORS:
        r.i += 1
    text, place = r.words(start, r.i), r.place(start, r.i)
    if r.draft is None:
        r.problems.append(mistake("not-a-verb", place, text=text, near=nearest("verb", text)))
        _skip_to_verb(r)
        return
    r.draft.whole = False
    numbers = [i for i in range(start, r.i) if r.speech.kind(i) is TokenKind.QUANTITY]
    if any(bad_quantity(r, i, i + 1) for i in numbers):
        return
    for i in numbers:
        quantity, number = measure(r.speech.tokens[i].text), r.speech.tokens[i].text
        if isinstance(quantity, Quantity) and quantity.kind is Kind.NUMBER:
            r.problems.append(mistake("amount-without-unit", r.place(i, i + 1), text=number))
            return
    r.problems.append(mistake("not-understood", place, text=text, near=nearest("phrase", text)))


def _skip_to_verb(r: Reader) -> None:
    while r.i < len(r.speech.tokens):
        after = r.speech.word(r.i) in _SEPARATORS
        r.i += 1
        if after and find("verb", r.speech, r.i) is not None:
            return


def _finish(r: Reader) -> None:
    """Close the clause being read."""
    draft, r.draft = r.draft, None
    if draft is None:
        return
    settle(draft, r.names.vessels)
    r.problems += draft.problems
    clauses = draft.clauses()
    for clause in clauses:
        r.problems += check_clause(clause, r.names.all, draft.whole)
        r.antecedent = _referent(clause, r.antecedent)
        r.material = clause.what if clause.amount is not None else r.material
    r.clauses += clauses


def _referent(clause: Clause, before: str) -> str:
    """What `it` or `them` means after a clause: the part kept or named last; once something is
    dissolved or put to it, simply what is at hand ('')."""
    if clause.keep is not None:
        return clause.keep.value
    if clause.verb in (Verb.DISSOLVE, Verb.ADD, Verb.PUT, Verb.DILUTE, Verb.MAKE_UP):
        return ""
    return clause.what if clause.what in tuple(Basket) else before
