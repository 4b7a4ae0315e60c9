"""Written numbers and where they stand: `12.5`, `12,5`, `1 000`, `1½`, `3/4`, `1.5×10⁻³`, `two`."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Context, Decimal
from types import MappingProxyType
from typing import Final

_EXPONENT = (
    r"(?:[eE](?P<e>[+\-−]?\d{1,3})(?![\w])|\s?[×x·*]\s?10"
    r"(?:\^(?P<caret>[+\-−]?\d{1,3})|(?P<up>[⁺⁻]?[⁰¹²³⁴⁵⁶⁷⁸⁹]{1,3})))?"
)
_NUMBER = re.compile(
    r"(?P<sign>[+\-−–]\s?)?(?:"
    r"(?P<whole>\d{1,6})\s(?P<above>\d{1,3})\s?[/⁄]\s?(?P<below>\d{1,3})(?![\d.,])"
    r"|(?P<top>\d{1,6})\s?[/⁄]\s?(?P<bottom>\d{1,6})(?![\d.,])"
    r"|(?P<front>\d{0,6})\s?(?P<vulgar>[½⅓⅔¼¾⅕⅖⅗⅘⅙⅛⅜⅝⅞])"
    r"|(?P<plain>"
    r"\d{1,3}(?:[ '’\u00a0\u2009\u202f]\d{3})+(?!\d)(?:[.,]\d+)?"
    r"|\d[\d.,]*\d|\d|[.,]\d+)" + _EXPONENT + r")",
    re.ASCII,
)
_VULGAR: Final = MappingProxyType(
    {
        **{"½": (1, 2), "⅓": (1, 3), "⅔": (2, 3), "¼": (1, 4), "¾": (3, 4), "⅕": (1, 5)},
        **{"⅖": (2, 5), "⅗": (3, 5), "⅘": (4, 5), "⅙": (1, 6), "⅛": (1, 8), "⅜": (3, 8)},
        **{"⅝": (5, 8), "⅞": (7, 8)},
    }
)
_WORDS: Final = MappingProxyType(
    {
        **{"a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6},
        **{"seven": 7, "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12},
    }
)
_WORD = re.compile(
    r"(?P<half>half\s+an?\b)|(?P<word>"
    + "|".join(sorted(_WORDS, key=len, reverse=True))
    + r")\b(?P<more>\s+and\s+a\s+half\b)?",
    re.IGNORECASE,
)
_RAISED = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺−", "0123456789-+-")
_DECIMAL_COMMA = re.compile(r"\d*,\d+", re.ASCII)
_UNSURE = re.compile(r"[1-9]\d{0,2},\d{3}", re.ASCII)
_ENGLISH = re.compile(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?", re.ASCII)
_CONTINENTAL = re.compile(r"\d{1,3}(?:\.\d{3})+,\d+|\d{1,3}(?:\.\d{3}){2,}", re.ASCII)
_POINT = re.compile(r"\d*\.?\d+", re.ASCII)
_EXACT = Context(prec=40)


@dataclass(frozen=True, slots=True)
class Number:
    """A number read; `comma` says that a decimal comma was read, `fault` what is wrong."""

    value: Decimal
    start: int
    end: int
    comma: bool = False
    fault: str = ""
    hint: str = ""


def match_number(text: str, at: int, signed: bool = True) -> Number | None:
    """The number that starts at `at`; None when none does. Faults are in the result."""
    if found := _WORD.match(text, at):
        return _worded(found)
    found = _NUMBER.match(text, at)
    if found is None or (found["sign"] and not signed):
        return None
    value, comma, fault, hint = _value(found)
    if found["sign"] and found["sign"][0] in "-−–":
        value = -value
    return Number(value, found.start(), found.end(), comma, fault, hint)


def _worded(found: re.Match[str]) -> Number:
    if found["half"]:
        value = Decimal("0.5")
    else:
        value = Decimal(_WORDS[found["word"].lower()])
        value += Decimal("0.5") if found["more"] else 0
    return Number(value, found.start(), found.end())


def _value(found: re.Match[str]) -> tuple[Decimal, bool, str, str]:
    """Value, decimal comma seen, fault, hint."""
    if found["plain"]:
        return _plain(found)
    if found["vulgar"]:
        above, below = _VULGAR[found["vulgar"]]
        whole = int(found["front"] or 0)
    elif found["whole"]:
        whole, above, below = (int(found[k]) for k in ("whole", "above", "below"))
    else:
        whole, above, below = 0, int(found["top"]), int(found["bottom"])
    if below == 0:
        return Decimal(0), False, "A fraction over 0 is no number.", ""
    return whole + _EXACT.divide(Decimal(above), Decimal(below)), False, "", ""


def _plain(found: re.Match[str]) -> tuple[Decimal, bool, str, str]:
    written = found["plain"]
    digits = re.sub(r"[ '’\u00a0\u2009\u202f]", "", written)
    comma = False
    if _UNSURE.fullmatch(digits) and digits == written:
        whole, part = digits.split(",")
        fault = f"'{written}' may mean {whole}{part} or {whole}.{part}."
        return Decimal(0), False, fault, f"Write {whole}{part} or {whole}.{part}."
    if _POINT.fullmatch(digits):
        pass
    elif _CONTINENTAL.fullmatch(digits):
        digits, comma = digits.replace(".", "").replace(",", "."), "," in digits
    elif _ENGLISH.fullmatch(digits) and not digits.startswith("0"):
        digits = digits.replace(",", "")
    elif _DECIMAL_COMMA.fullmatch(digits):
        digits, comma = digits.replace(",", "."), True
    else:
        return Decimal(0), False, f"'{written}' is no number.", "Write it like 1250.5."
    power = (found["e"] or found["caret"] or found["up"] or "0").translate(_RAISED)
    return Decimal(f"{digits}e{power}"), comma, "", ""
