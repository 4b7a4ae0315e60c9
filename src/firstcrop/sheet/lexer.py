"""Cut a sentence into words, quantities, blanks, names the sheet declares and punctuation."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from firstcrop.quantity.bases import match_any

_NUM = r"(?:\d+(?:[.,]\d+)*(?:\s?[x×·]\s?10(?:\^[-−]?\d+|[⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+))?|[½¼¾⅓⅔])"
_SPREAD = r"\s?(?:±|\+/-|\+-)\s?"
_FORMULA = (
    r"(?:\d*[\[(]*[A-Z][a-z]?\d*(?:[\])]\d*)*){2,}(?:[·•.*]\d*(?:\(?[A-Z][a-z]?\d*\)?\d*)+)*"
    r"(?![\w-])"
)
_WORD = r"(?:\d+(?:,\d+)*-)?[^\W\d_][\w'’\-/]*(?:\([IVX]+\)[\w\-]*)?"


class TokenKind(StrEnum):
    """What a token is."""

    WORD = "word"
    NAME = "name"
    QUANTITY = "quantity"
    BLANK = "blank"
    MARK = "mark"


@dataclass(frozen=True, slots=True)
class Token:
    """A piece of a sentence; `start` counts characters from the start of the text."""

    kind: TokenKind
    text: str
    start: int
    unit: str = ""  # of a blank

    @property
    def end(self) -> int:
        """One past the last character."""
        return self.start + len(self.text)


_SCANNER = re.compile(
    rf"(?P<formula>(?<![\w]){_FORMULA})|(?P<blank>\?)|(?P<word>{_WORD})"
    rf"|(?P<quantity>(?:(?<![^\s(])[-−+])?{_NUM}(?:{_SPREAD}{_NUM}|\s?[-–—]\s?{_NUM})?)"
    rf"|(?P<mark>[^\s])"
)
_NUMBER_WORDS = re.compile(
    r"(?:half an?|an?|one|two|three|four|five|six|seven|eight|nine|ten|twelve|fifteen|twenty"
    r"|thirty|forty|forty-five|sixty|ninety)(?=\s)",
    re.IGNORECASE,
)
_ABOUT = re.compile(
    r"(?:(?:about|approximately|approx|roughly|around|circa|ca|c)\b\.?\s+|~\s*)(?=[\d½¼¾⅓⅔])",
    re.IGNORECASE,
)
_MORE_SPREAD = re.compile(rf"{_SPREAD}{_NUM}")
_MORE_TIME = re.compile(rf"\s(?:and\s)?(?={_NUM}\s?m)")


@lru_cache(maxsize=256)
def _names(names: tuple[str, ...]) -> re.Pattern[str] | None:
    known = "|".join(name_pattern(n) for n in sorted(names, key=len, reverse=True))
    return re.compile(rf"(?<![\w-])(?:{known})(?![\w-])") if known else None


def name_pattern(name: str) -> str:
    """A pattern for a declared name: any case, any spacing, singular or plural."""
    words = [re.escape(w) for w in name.split()]
    if words and words[-1][-1:].isalpha():
        last = words[-1]
        words[-1] = f"{last[:-1]}s?" if last.endswith("s") and len(last) > 3 else f"{last}s?"
    return "(?i:" + r"\s+".join(words) + ")"


def tokenize(text: str, names: tuple[str, ...] = ()) -> tuple[Token, ...]:
    """The tokens of `text`; nothing is dropped but white space."""
    declared = _names(names)
    tokens, at = [], 0
    while at < len(text):
        if text[at].isspace():
            at += 1
            continue
        name = declared.match(text, at) if declared else None
        if name is not None and name.end() > at:
            tokens.append(Token(TokenKind.NAME, name.group(), at))
            at = name.end()
            continue
        token = _worded(text, at) or _token(text, at)
        tokens.append(token)
        at = token.end
    return tuple(tokens)


def _worded(text: str, at: int) -> Token | None:
    """`half an hour`, `two drops`, `about 5 mL`: a quantity that starts with a word."""
    if about := _ABOUT.match(text, at):
        number = _token(text, about.end())
        if number.kind is TokenKind.QUANTITY:
            return Token(TokenKind.QUANTITY, text[at : number.end], at)
    if (word := _NUMBER_WORDS.match(text, at)) and (unit := _unit(text, word.end())):
        return Token(TokenKind.QUANTITY, text[at : word.end() + len(unit)], at)
    return None


def _token(text: str, at: int) -> Token:
    match = _SCANNER.match(text, at)
    assert match is not None, "the scanner takes any character that is no space"
    start, end = match.span()
    if match.lastgroup == "blank":
        unit = _unit(text, end)
        return Token(TokenKind.BLANK, text[start : end + len(unit)], start, unit.strip())
    if match.lastgroup == "quantity":
        return Token(TokenKind.QUANTITY, text[start : _quantity_end(text, end)], start)
    group = "word" if match.lastgroup == "formula" else match.lastgroup
    return Token(TokenKind(group or "mark"), match.group(), start)


def _quantity_end(text: str, end: int) -> int:
    """Past the unit, a spread behind it and the minutes of `1 h 30 min`."""
    unit = _unit(text, end)
    end += len(unit)
    if spread := _MORE_SPREAD.match(text, end):
        return spread.end() + len(_unit(text, spread.end()))
    if unit.strip()[:1] == "h" and (more := _MORE_TIME.match(text, end)):
        number = _SCANNER.match(text, more.end())
        if number and (minutes := _unit(text, number.end())).strip()[:1] == "m":
            return number.end() + len(minutes)
    return end


def _unit(text: str, at: int) -> str:
    """The unit at `at` with the space before it; a full stop behind it is not its own."""
    start = at + 1 if text[at : at + 1].isspace() else at
    if not text[start : start + 1].strip():
        return ""
    found = match_any(text, start)
    return text[at : found.end].rstrip(".") if found else ""
