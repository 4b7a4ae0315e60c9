"""Read the sentences of a step: verbs, objects and phrases in any ordinary order."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from firstcrop.problems import Place, Problem
from firstcrop.quantity.records import Kind, Quantity
from firstcrop.sheet.checks import check_clause
from firstcrop.sheet.draft import Draft, Locate
from firstcrop.sheet.hints import nearest
from firstcrop.sheet.lexer import TokenKind
from firstcrop.sheet.measures import measure
from firstcrop.sheet.mistakes import mistake
from firstcrop.sheet.page import Passage
from firstcrop.sheet.patterns import Slot
from firstcrop.sheet.records import Blank, Clause, Verb
from firstcrop.sheet.settle import merge, settle
from firstcrop.sheet.slots import Match, Speech, fill, find, hear, read_amount

_SEPARATORS = frozenset({",", ";", "and", "then", ".", ":", "next", "–", "—"})
_WITH_VERBS = frozenset({Verb.WASH, Verb.DILUTE, Verb.MAKE_UP, Verb.TITRATE})
_AMOUNT_EXAMPLE = "5 mL of dilute acid"


@dataclass(frozen=True, slots=True)
class Names:
    """What a sheet declares, as written."""

    materials: tuple[str, ...] = ()
    vessels: tuple[str, ...] = ()

    @property
    def all(self) -> tuple[str, ...]:
        """Materials and vessels."""
        return self.materials + self.vessels


@dataclass(slots=True)
class _Reader:
    speech: Speech
    names: Names
    locate: Locate
    i: int = 0
    draft: Draft | None = None
    clauses: list[Clause] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    antecedent: str = ""

    def place(self, start: int, end: int) -> Place:
        tokens = self.speech.tokens
        return self.locate(tokens[start].start, tokens[max(start, end - 1)].end)

    def words(self, start: int, end: int) -> str:
        tokens = self.speech.tokens
        return self.speech.text[tokens[start].start : tokens[max(start, end - 1)].end]


@lru_cache(maxsize=2048)
def read_step(
    passage: Passage, names: Names = Names()
) -> tuple[tuple[Clause, ...], tuple[Problem, ...]]:
    """The clauses of a step's text, in order, and every mistake in it. Cached: an edit of one
    step leaves the others as they were read."""
    speech = hear(passage.plain(), names.all)
    reader = _Reader(speech, names, passage.place)
    while reader.i < len(speech.tokens):
        _advance(reader)
    _finish(reader)
    return merge(reader.clauses), tuple(reader.problems)


def _advance(r: _Reader) -> None:
    """Read the next separator, verb, phrase or object, or report what stands there."""
    fresh = r.draft is None
    while r.speech.word(r.i) in _SEPARATORS and r.speech.kind(r.i) is not TokenKind.NAME:
        if r.speech.word(r.i) == "." and not _abbreviation(r):
            _finish(r)
        fresh, r.i = True, r.i + 1
    if r.i >= len(r.speech.tokens):
        return
    if r.speech.word(r.i) == "(":
        _remark(r)
    elif (fresh and _verb(r)) or _phrase(r) or _with(r) or _object(r, fresh):
        return
    else:
        _give_up(r)


def _abbreviation(r: _Reader) -> bool:
    """A full stop with a small letter or a number behind it ends no sentence: `approx. 5 mL`."""
    after = r.speech.tokens[r.i + 1].text if r.i + 1 < len(r.speech.tokens) else ""
    return after[:1].islower() or after[:1].isdigit()


def _remark(r: _Reader) -> None:
    start = r.i
    while r.i < len(r.speech.tokens) and r.speech.word(r.i) != ")":
        r.i += 1
    r.i = min(r.i + 1, len(r.speech.tokens))
    text = r.words(start, r.i)
    r.problems.append(mistake("remark-kept", r.place(start, r.i), text=text))


def _verb(r: _Reader) -> bool:
    if r.speech.kind(r.i) is TokenKind.NAME and r.draft is not None and " " in r.speech.word(r.i):
        return False
    start = r.i
    while r.speech.word(r.i) in ("now", "finally", "first", "again", "immediately", "at once"):
        r.i += 1
    match = find("verb", r.speech, r.i)
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


def _phrase(r: _Reader) -> bool:
    if r.draft is None:
        return False
    match = find("phrase", r.speech, r.i)
    if match is None:
        return False
    r.draft.apply(_referred(r, match), r.i, match.end)
    r.i = match.end
    return True


def _referred(r: _Reader, match: Match) -> tuple[tuple[str, object], ...]:
    """The settings with `it` replaced by what it refers to."""
    known = []
    for name, value in match.settings:
        if name in ("into", "what", "source") and value in ("it", "them"):
            value = r.antecedent
        known.append((name, value))
    return tuple(known)


def _with(r: _Reader) -> bool:
    """`with 15 mL of wash`: the liquid used; the object read before becomes the target."""
    draft = r.draft
    if draft is None or r.speech.word(r.i) not in ("with", "using", "by adding"):
        return False
    found = _read_object(r, r.i + 1)
    if found is None:
        return False
    end, settings = found
    for old, new in (("what", "into"), ("amount", "into_amount")):
        if old in draft.fields:
            draft.fields[new] = draft.fields.pop(old)
            draft.spans[new] = draft.spans.pop(old)
    draft.apply(tuple(settings.items()), r.i + 1, end)
    r.i = end
    return True


def _object(r: _Reader, fresh: bool) -> bool:
    draft = r.draft
    if draft is None:
        return False
    found = _read_object(r, r.i)
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
        _another_object(draft)
    draft.apply(tuple(settings.items()), r.i, end)
    r.i = end
    return True


def _another_object(draft: Draft) -> None:
    """Put the direct object read before aside: it makes a clause of its own."""
    own = ("amount", "what", "times", "hot", "cold", "at")
    draft.objects.append({k: draft.fields.pop(k) for k in own if k in draft.fields})
    for name in own:
        draft.spans.pop(name, None)


def _read_object(r: _Reader, i: int) -> tuple[int, dict[str, Any]] | None:
    """`[3 x] [amount of] name` at token i."""
    speech, settings = r.speech, dict[str, Any]()
    vague = find("vague", speech, i)
    if vague is not None and speech.kind(vague.end) in (TokenKind.WORD, TokenKind.NAME):
        words = r.words(i, vague.end)
        r.problems.append(mistake("amount-vague", r.place(i, vague.end), text=words))
        i = vague.end
    if speech.word(i).isdigit() and speech.word(i + 1) in ("x", "×"):
        settings["times"], i = int(speech.word(i)), i + 2
    amount = read_amount(speech, i)
    if amount is not None:
        i, settings["amount"] = amount
    elif _unitless(r, i):
        i += 1
    if (amount is not None or i) and speech.word(i) in ("more", "of"):
        i += 2 if speech.word(i) == "more" and speech.word(i + 1) == "of" else 1
    for end, filled in fill(Slot("name", "what"), speech, i):
        named = dict(filled)
        if named["what"] in ("it", "them", "this", "everything"):
            named["what"] = r.antecedent
        return end, {**settings, **named}
    pronoun = find("pronoun", speech, i)
    if pronoun is not None:
        return pronoun.end, {**settings, "what": r.antecedent} if r.antecedent else settings
    return (i, settings) if amount is not None else None


def _unitless(r: _Reader, i: int) -> bool:
    """Report `Add 5 of acid`; a bare number can be no amount."""
    if r.speech.kind(i) is not TokenKind.QUANTITY:
        return False
    text = r.speech.tokens[i].text
    quantity = measure(text)
    if isinstance(quantity, Quantity) and quantity.kind is Kind.NUMBER:
        r.problems.append(mistake("amount-without-unit", r.place(i, i + 1), text=text))
        return True
    return False


def _give_up(r: _Reader) -> None:
    """Report what stands here and go on after the next separator."""
    start = r.i
    token = r.speech.tokens[start]
    r.i += 1
    while r.i < len(r.speech.tokens) and r.speech.word(r.i) not in _SEPARATORS:
        r.i += 1
    text, place = r.words(start, r.i), r.place(start, r.i)
    if r.draft is None:
        r.problems.append(mistake("not-a-verb", place, text=text, near=nearest("verb", text)))
        _skip_to_verb(r)
    elif token.kind is TokenKind.QUANTITY and isinstance(measure(token.text), Problem):
        why = measure(token.text)
        assert isinstance(why, Problem)
        r.problems.append(
            mistake(
                "quantity-unclear", place, text=token.text, why=why.message, example=_AMOUNT_EXAMPLE
            )
        )
    else:
        r.problems.append(mistake("not-understood", place, text=text, near=nearest("phrase", text)))


def _skip_to_verb(r: _Reader) -> None:
    while r.i < len(r.speech.tokens):
        after = r.speech.word(r.i) in _SEPARATORS
        r.i += 1
        if after and find("verb", r.speech, r.i) is not None:
            return


def _finish(r: _Reader) -> None:
    """Close the clause being read."""
    draft, r.draft = r.draft, None
    if draft is None:
        return
    settle(draft, r.names.vessels)
    r.problems += draft.problems
    clauses = draft.clauses()
    for clause in clauses:
        r.problems += check_clause(clause, r.names.all)
        r.antecedent = _referent(clause) or r.antecedent
    r.clauses += clauses


def _referent(clause: Clause) -> str:
    if clause.keep is not None:
        return clause.keep.value
    return "" if isinstance(clause.amount, Blank) else clause.what if clause.amount is None else ""
