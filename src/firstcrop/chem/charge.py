"""Where a formula ends and its charge begins, in every common spelling.

`SO4^2-`, `SO4-2`, `SO4 2-`, `SO42-`, `SO4²⁻`, `Al3+`, `Al+3`, `Fe^3+`, `Fe+++`, `[Fe(CN)6]3-`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from firstcrop.chem.symbols import HALOGENS, SUBSCRIPTS, SUPERSCRIPTS, from_raised, plain

_RAISED = re.compile(rf"\s*([{SUPERSCRIPTS}]*[⁺⁻]|[⁺⁻][{SUPERSCRIPTS}]*)$")
_CARET = re.compile(r"\s*\^\s*[{(]?(\d*[+-]|[+-]\d*)[})]?$", re.ASCII)
_SIGN_FIRST = re.compile(r"\s*([+-]\d+)$", re.ASCII)
_SPACED = re.compile(r"\s+(\d+[+-])$", re.ASCII)
_BRACKETED = re.compile(r"\((\d*[+-])\)$", re.ASCII)
_REPEATED = re.compile(r"(\+{2,}|-{2,})$")
_ATTACHED = re.compile(r"(\d*)([+-])$", re.ASCII)
_ELEMENT = re.compile(r"[A-Z][a-z]?")
_UNCERTAIN = frozenset({"N", "O"})  # N3-: azide or nitride; O2-: superoxide or oxide


@dataclass(frozen=True, slots=True)
class Split:
    """The formula without its charge; `doubt` holds the two readings when both are common."""

    body: str
    charge: int
    doubt: tuple[str, str] | None = None


def split_charge(text: str) -> Split:
    """Cut the charge off the right end of `text`; no charge written gives 0. Never fails."""
    whole = text.rstrip()
    if found := _RAISED.search(whole):
        return Split(whole[: found.start()], _number(from_raised(found[1])))
    flat = plain(whole)
    if found := _REPEATED.search(flat):
        signs = found[1]
        return Split(whole[: found.start()], len(signs) if signs[0] == "+" else -len(signs))
    for pattern in (_CARET, _SIGN_FIRST, _SPACED, _BRACKETED):
        if found := pattern.search(flat):
            return Split(whole[: found.start()], _number(found[1]))
    if found := _ATTACHED.search(flat):
        return _attached(whole, found)
    return Split(whole, 0)


def write_charge(charge: int) -> str:
    """`+`, `-`, `+3`, `-2`; nothing for 0. The key spelling of an ion."""
    if charge == 0:
        return ""
    sign = "+" if charge > 0 else "-"
    return sign if abs(charge) == 1 else f"{sign}{abs(charge)}"


def _number(text: str) -> int:
    digits = text.strip("+-")
    size = int(digits) if digits else 1
    return -size if "-" in text else size


def _attached(whole: str, found: re.Match[str]) -> Split:
    """`Al3+`, `NO3-`, `SO42-`: which of the digits before the sign are charge."""
    digits, sign = found[1], found[2]
    written = whole[found.start() : found.start() + len(digits)]
    lowered = len(written) - len(written.lstrip(SUBSCRIPTS))  # subscripts are counts for sure
    head = plain(whole[: found.start()])
    one_element = _ELEMENT.fullmatch(head) is not None
    doubt = None
    if lowered:
        counts = lowered
    elif head.endswith(("]", "}")):
        counts = 0
    elif one_element and len(digits) == 1:
        halide = sign == "-" and head in HALOGENS  # I3- is triiodide: no halide is 3-
        counts = 1 if halide else 0
        if sign == "-" and head in _UNCERTAIN:
            doubt = (f"{head}{digits}^-", f"{head}^{digits}-")
    else:
        counts = max(1, len(digits) - 1) if digits else 0
    cut = found.start() + counts
    return Split(whole[:cut], _number(digits[counts:] + sign), doubt)
