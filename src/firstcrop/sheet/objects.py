"""Read an object: how much of what, and report amounts that are none."""

from __future__ import annotations

from typing import Any

from firstcrop.problems import Problem
from firstcrop.quantity.records import Kind, Quantity
from firstcrop.sheet.lexer import TokenKind
from firstcrop.sheet.measures import measure
from firstcrop.sheet.mistakes import mistake
from firstcrop.sheet.patterns import Slot
from firstcrop.sheet.reader import Reader
from firstcrop.sheet.records import Rest
from firstcrop.sheet.slots import Speech, fill, find, read_amount


def read_object(r: Reader, i: int) -> tuple[int, dict[str, Any]] | None:
    """`[3 x] [amount of] name` at token i."""
    settings: dict[str, Any] = {}
    i = _vague(r, i)
    times = _times(r.speech, i)
    if times is not None:
        settings["times"], i = times[1], times[0]
    amount = read_amount(r.speech, i)
    if amount is not None:
        i, settings["amount"] = amount
    elif (after := _unitless(r, i)) is not None:
        i = after
    while r.speech.word(i) in ("more", "portions", "portion", "lots", "of"):
        i += 1
    i = _strength(r, i)
    for end, filled in fill(Slot("name", "what"), r.speech, i):
        return end, {**settings, **dict(filled), "name at": i}
    pronoun = find("pronoun", r.speech, i)
    if pronoun is not None:
        return pronoun.end, {**settings, "what": r.antecedent} if r.antecedent else settings
    if isinstance(settings.get("amount"), Rest) and r.material:
        settings["what"] = r.material
    return (i, settings) if amount is not None else None


def _vague(r: Reader, i: int) -> int:
    """Report `some water`, `a little acid`; the name behind it is still read."""
    vague = find("vague", r.speech, i)
    if vague is None or r.speech.kind(vague.end) not in (TokenKind.WORD, TokenKind.NAME):
        return i
    words = r.words(i, vague.end)
    r.problems.append(mistake("amount-vague", r.place(i, vague.end), text=words))
    return vague.end


def _times(speech: Speech, i: int) -> tuple[int, int] | None:
    """`3 x` before an amount, `two` before `10 mL portions`."""
    for end, filled in fill(Slot("count", "times"), speech, i):
        count = filled[0][1]
        follows = speech.word(end) in ("x", "×")
        if isinstance(count, int) and (follows or speech.kind(end) is TokenKind.QUANTITY):
            return end + follows, count
    return None


def _strength(r: Reader, i: int) -> int:
    """Report `0.1 M acid`: a strength belongs into the Materials table."""
    if r.speech.kind(i) is not TokenKind.QUANTITY:
        return i
    text, named = r.speech.tokens[i].text, r.speech.kind(i + 1) in (TokenKind.WORD, TokenKind.NAME)
    quantity = measure(text)
    strong = isinstance(quantity, Problem) and quantity.code == "quantity-strength"
    share = isinstance(quantity, Quantity) and quantity.kind is Kind.FRACTION
    if not named or not (strong or share):
        return i
    r.problems.append(mistake("strength-in-step", r.place(i, i + 1), text=text))
    return i + 1


def _unitless(r: Reader, i: int) -> int | None:
    """Report `Add 5 of acid`, `Add 5 cups of acid`; a bare number can be no amount."""
    if r.speech.kind(i) is not TokenKind.QUANTITY:
        return None
    text = r.speech.tokens[i].text
    quantity = measure(text)
    if isinstance(quantity, Problem):
        return i + 1 if bad_quantity(r, i, i + 1) and r.speech.word(i + 1) == "of" else None
    if quantity.kind is not Kind.NUMBER:
        return None
    worded = r.speech.kind(i + 1) is TokenKind.WORD and r.speech.word(i + 2) == "of"
    if worded and bad_quantity(r, i, i + 2):
        return i + 2
    r.problems.append(mistake("amount-without-unit", r.place(i, i + 1), text=text))
    return i + 1


def bad_quantity(r: Reader, start: int, end: int) -> bool:
    """Report tokens that look like a quantity and cannot be read as one."""
    text = r.words(start, end)
    why = measure(text)
    if not isinstance(why, Problem) or why.code == "quantity-strength":
        return False
    place, told = r.place(start, end), why.message.rstrip(".")
    remedy = why.hint or "write for example: 5 mL of dilute acid"
    r.problems.append(mistake("quantity-unclear", place, text=text, why=told, remedy=remedy))
    return True
