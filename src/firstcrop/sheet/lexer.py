"""Cut a sentence into words, quantities, blanks, names the sheet declares and punctuation."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from firstcrop.quantity.read import units

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
    def low(self) -> str:
        """The text in lower case, as wordings are written."""
        return self.text.lower()

    @property
    def end(self) -> int:
        """One past the last character."""
        return self.start + len(self.text)


@cache
def _unit_pattern() -> str:
    spellings = sorted((u for u in units() if not u.endswith(".")), key=len)
    return "|".join(re.escape(u) for u in reversed(spellings))


@cache
def _scanner(names: tuple[str, ...]) -> re.Pattern[str]:
    unit = rf"(?:(?:{_unit_pattern()})(?![^\W_]))"
    hours = rf"{_NUM}\s?(?:hours?|hr?s?)\s(?:and\s)?{_NUM}\s?min(?:utes?|s)?(?![^\W_])"
    quantity = hours + (
        rf"|(?:(?<![^\s(])[-−+])?{_NUM}(?:{_SPREAD}{_NUM}|\s?[-–—]\s?{_NUM})?"
        rf"(?:\s?{unit})?(?:{_SPREAD}{_NUM}(?:\s?{unit})?)?"
    )
    known = "|".join(name_pattern(n) for n in sorted(names, key=len, reverse=True))
    return re.compile(
        (rf"(?P<name>(?<![\w-])(?:{known})(?![\w-]))|" if known else "")
        + rf"(?P<formula>(?<![\w]){_FORMULA}(?=.*))"
        + rf"|(?P<blank>\?(?:\s?(?P<unit>{unit}))?)"
        + rf"|(?P<word>{_WORD})|(?P<quantity>{quantity})|(?P<mark>[^\s])"
    )


def name_pattern(name: str) -> str:
    """A pattern for a declared name: any case, any spacing, singular or plural."""
    words = [re.escape(w) for w in name.split()]
    if words and words[-1][-1:].isalpha():
        last = words[-1]
        words[-1] = f"{last[:-1]}s?" if last.endswith("s") and len(last) > 3 else f"{last}s?"
    return "(?i:" + r"\s+".join(words) + ")"


def tokenize(text: str, names: Iterable[str] = ()) -> tuple[Token, ...]:
    """The tokens of `text`; nothing is dropped but white space."""
    tokens = []
    for match in _scanner(tuple(names)).finditer(text):
        group = match.lastgroup or "mark"
        if group == "unit":
            group = "blank"
        kind = TokenKind.WORD if group == "formula" else TokenKind(group)
        unit = (match.group("unit") or "") if kind is TokenKind.BLANK else ""
        tokens.append(Token(kind, match.group(), match.start(), unit))
    return tuple(tokens)
