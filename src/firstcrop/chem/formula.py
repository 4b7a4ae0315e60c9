"""Chemical formulas: `KAl(SO4)2·12H2O`, `[Fe(C2O4)3]3-`, `SO4²⁻`, read and written.

Reading never raises: a wrong formula is a Problem with the column and what to write instead.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType

from firstcrop.chem.charge import split_charge, write_charge
from firstcrop.chem.symbols import (
    DOTS,
    KNOWN,
    SHORTHAND,
    VULGAR,
    lowered,
    nearest,
    plain,
    raised,
    respelled,
)
from firstcrop.problems import UNPLACED, Place, Problem

_OPENING = MappingProxyType({"(": ")", "[": "]", "{": "}"})
_LONGEST = 200  # characters; a longer text is no formula
_DEEPEST = 20  # nested brackets
_COUNT = re.compile(r"0\.\d{1,9}|\d{1,6}", re.ASCII)
_PART_COUNT = re.compile(
    r"(\d{1,6})\s*/\s*(\d{1,6})|(\d{1,6}[.,]\d{1,9}|\d{1,6})?\s*([½⅓⅔¼¾⅕⅙])?", re.ASCII
)
_CROSS = re.compile(r"(?<=[\w)\]}])\s+[xX]\s*(?=\d)")
_STATE = re.compile(r"\((s|l|g|aq|cr|am|c)\)$", re.IGNORECASE)
_VAGUE = re.compile(r"[nxyNX](?=\s*H2O)")

_Count = int | Fraction  # whole wherever possible: whole numbers are fast
Composition = dict[str, _Count]
_Part = tuple[_Count, str, Composition]


@dataclass(frozen=True, slots=True)
class Formula:
    """What a formula stands for. `parts` are the pieces between dots with their counts;
    `water` is the crystal water among them; `text` is the canonical spelling."""

    elements: tuple[tuple[str, Fraction], ...]
    charge: int
    text: str
    water: Fraction = Fraction(0)
    parts: tuple[tuple[Fraction, str], ...] = field(default=())

    def same_matter(self, other: Formula) -> bool:
        """Same atoms and charge, however written: `Al(OH)4-` and `[Al(OH)4]-`."""
        return self.charge == other.charge and dict(self.elements) == dict(other.elements)

    def count(self, symbol: str) -> Fraction:
        """Atoms of `symbol`, 0 when absent."""
        return dict(self.elements).get(symbol, Fraction(0))


class _Wrong(Exception):  # noqa: N818 - never leaves this module
    """Carries a Problem's text out of the recursive reader."""

    def __init__(self, code: str, message: str, at: int, size: int = 1, hint: str = "") -> None:
        super().__init__(message)
        self.code, self.message, self.at, self.size, self.hint = code, message, at, size, hint


def parse_formula(text: str, place: Place = UNPLACED) -> Formula | Problem:
    """Read a formula, with or without charge and crystal water; a Problem when it is none.

    `place` is where `text` starts; the Problem's column is exact. Codes: formula-empty,
    formula-element, formula-bracket, formula-count, formula-charge, formula-water,
    formula-character, formula-state.
    """
    try:
        return _read(text)
    except _Wrong as wrong:
        spot = place.shifted(wrong.at, max(wrong.size, 1))
        return Problem(wrong.code, wrong.message, (spot,), wrong.hint)


def write_formula(formula: Formula) -> str:
    """The canonical spelling, `KAl(SO4)2·12H2O` or `SO4-2`; reads back to the same Formula."""
    return formula.text


def pretty_formula(formula: Formula) -> str:
    """For people: `KAl(SO₄)₂·12H₂O`, `SO₄²⁻`."""
    charge = write_charge(formula.charge)
    body = re.sub(
        r"(?<=[A-Za-z)\]}])\d+(?:\.\d+)?", lambda m: lowered(m[0]), _joined(formula.parts)
    )
    size = charge.lstrip("+-")
    return body + raised(size + charge[:1])


@lru_cache(maxsize=4096)
def _read(text: str) -> Formula:
    if len(text) > _LONGEST:
        raise _Wrong("formula-character", "This is too long to be a formula.", 0, _LONGEST)
    lead = len(text) - len(text.lstrip())
    whole = text.strip()
    if not whole:
        raise _Wrong("formula-empty", "There is no formula here.", 0, 1, "Write one, like NaCl.")
    if plain(whole) in ("e-", "e^-", "e") or whole == "e⁻":
        return Formula((), -1, "e-", Fraction(0), ((Fraction(1), "e"),))
    if found := _STATE.search(whole):
        bare = whole[: found.start()]
        hint = f"Leave the state out: {bare}" if bare else ""
        message = f"'{found[0]}' is a state, not part of the formula."
        raise _Wrong("formula-state", message, lead + found.start(), len(found[0]), hint)
    split = split_charge(whole)
    if split.doubt:
        one, other = split.doubt
        message = f"'{whole}' can be read as {one} or as {other}."
        raise _Wrong("formula-charge", message, lead, len(whole), f"Write {one} or {other}.")
    if not split.body.strip():
        raise _Wrong("formula-charge", "A charge without a formula.", lead, len(whole))
    parts = [_part(piece, lead + at, first=at == 0) for at, piece in _pieces(split.body)]
    parts[0] = _head(parts[0], alone=len(parts) == 1, at=lead)
    return _assemble(parts, split.charge)


def _head(part: _Part, alone: bool, at: int) -> _Part:
    """The first piece: `2PbCO3·Pb(OH)2` becomes `(PbCO3)2·...`; `2 H2O` alone is a mistake."""
    count, body, composition = part
    if count == 1:
        return part
    if alone or count.denominator != 1:
        message = f"The {write_count(count)} in front says how many; it is not part of the formula."
        raise _Wrong("formula-count", message, at, len(str(count)), f"Write {body}.")
    multiplied = {symbol: count * atoms for symbol, atoms in composition.items()}
    return 1, f"({body}){count}", multiplied


def _assemble(parts: list[_Part], charge: int) -> Formula:
    total: Composition = {}
    water: _Count = 0
    for count, body, composition in parts:
        for symbol, atoms in composition.items():
            total[symbol] = total.get(symbol, 0) + count * atoms
        if body in ("H2O", "OH2") and len(parts) > 1:
            water += count
    named = tuple((Fraction(count), body) for count, body, _ in parts)
    text = _charged(_joined(named), charge)
    elements = tuple((symbol, Fraction(atoms)) for symbol, atoms in total.items())
    return Formula(elements, charge, text, Fraction(water), named)


def _charged(body: str, charge: int) -> str:
    """Body and charge so that they read back: `SO4-2`, but `O2^-`, where `O2-` is in doubt."""
    text = body + write_charge(charge)
    split = split_charge(text)
    if (split.body, split.charge, split.doubt) == (body, charge, None):
        return text
    size = str(abs(charge)) if abs(charge) > 1 else ""
    return f"{body}^{size}{'+' if charge > 0 else '-'}"


def _joined(parts: tuple[tuple[Fraction, str], ...]) -> str:
    return "·".join(f"{_decimal_count(count)}{body}" for count, body in parts)


def _decimal_count(count: Fraction) -> str:
    """A count of crystal water as tables write it: `12`, `0.5`, `1.5`; a third stays `1/3`."""
    if count == 1 or count.denominator == 1 or 1000 % count.denominator:
        return write_count(count) if count.denominator == 1 else str(count)
    return f"{float(count):g}" if count.numerator < 10**5 else str(count)


def write_count(count: _Count) -> str:
    """A count before a formula: nothing for 1, `½`, `12`, `5/2`, `0.33` never."""
    if count == 1:
        return ""
    if count.denominator == 1:
        return str(count)
    for sign, (above, below) in VULGAR.items():
        if count == Fraction(above, below):
            return sign
    return str(count)


def _pieces(body: str) -> list[tuple[int, str]]:
    """Cut at the hydrate dots; a '.' inside a number such as `0.5H2O` is no dot."""
    body = _CROSS.sub(lambda m: "·".rjust(len(m[0])), body)
    flat = plain(body)
    cuts = [-1]
    for at, char in enumerate(flat):
        if char in DOTS and not (char == "." and _decimal(flat, at, cuts[-1] + 1)):
            cuts.append(at)
    ends = [*cuts[1:], len(body)]
    return [(cut + 1, body[cut + 1 : end]) for cut, end in zip(cuts, ends, strict=True)]


def _decimal(body: str, at: int, start: int) -> bool:
    """Whether the '.' at `at` is a decimal point: it starts the piece's own count (`.0.5H2O`),
    or follows a 0 that no digit precedes (`Fe0.95O`)."""
    after = body[at + 1 : at + 2].isdecimal()
    own_count = start > 0 and body[start:at].strip().isdecimal()
    lone_zero = body[at - 1 : at] == "0" and not body[max(at - 2, 0) : at - 1].isdecimal()
    return after and at > 0 and (own_count or lone_zero)


def _part(piece: str, at: int, first: bool) -> _Part:
    """One piece between dots: its count, its spelling, its atoms."""
    lead = len(piece) - len(piece.lstrip())
    body = piece.strip()
    if not body:
        message = "Nothing stands beside this dot."
        raise _Wrong("formula-water", message, max(at - 1, 0), 1, "Write it like ·5H2O.")
    if not first and _VAGUE.match(plain(body)):
        message = f"'{body[0]}' is no number of water molecules."
        hint = "Write how many, such as ·5H2O, or weigh a sample before and after drying."
        raise _Wrong("formula-water", message, at + lead, 1, hint)
    count, used = _leading_count(body, at + lead)
    bare = body[used:]
    if not bare:
        message = f"The number {body} has no formula after it."
        raise _Wrong("formula-count", message, at + lead, len(body))
    reader = _Reader(bare, at + lead + used)
    return count, plain(bare), reader.group("", 0)


def _leading_count(body: str, at: int) -> tuple[_Count, int]:
    found = _PART_COUNT.match(body)
    if found is None or not found[0].strip():
        return 1, 0
    if found[1]:
        if int(found[2]) == 0:
            raise _Wrong("formula-count", "A fraction over 0.", at, found.end())
        count = Fraction(int(found[1]), int(found[2]))
    else:
        count = Fraction((found[3] or "0").replace(",", "."))
        count += Fraction(*VULGAR[found[4]]) if found[4] else 0
    if count == 0:
        raise _Wrong("formula-count", "None of it: the number is 0.", at, found.end())
    used = found.end()
    return count, used + len(body[used:]) - len(body[used:].lstrip())


class _Reader:
    """Recursive descent over one piece; positions refer to the whole text."""

    def __init__(self, written: str, at: int) -> None:
        self.written, self.text, self.base, self.pos = written, plain(written), at, 0

    def group(self, closing: str, depth: int) -> Composition:
        """Atoms up to `closing`, or to the end when it is empty."""
        total: Composition = {}
        start = self.pos - 1
        while self.pos < len(self.text):
            char = self.text[self.pos]
            if char == closing:
                self.pos += 1
                return total
            self._add(total, *self._unit(char, depth))
        if closing:
            message = f"This '{self.text[start]}' is never closed."
            raise _Wrong("formula-bracket", message, self.base + start, 1, f"Add a '{closing}'.")
        return total

    def _add(self, total: Composition, inner: Composition, count: _Count) -> None:
        for symbol, atoms in inner.items():
            total[symbol] = total.get(symbol, 0) + count * atoms

    def _unit(self, char: str, depth: int) -> tuple[Composition, _Count]:
        """An element or a bracket, and the count behind it."""
        if char in _OPENING:
            start = self.pos
            if depth >= _DEEPEST:
                message = "Brackets nested too deep."
                raise _Wrong("formula-bracket", message, self.base + start)
            self.pos += 1
            inner = self.group(_OPENING[char], depth + 1)
            if not inner:
                message = "Nothing stands in these brackets."
                size = self.pos - start
                raise _Wrong("formula-bracket", message, self.base + start, size)
        else:
            inner = {self._symbol(char): 1}
        return inner, self._count()

    def _count(self) -> _Count:
        found = _COUNT.match(self.text, self.pos)
        if found is None:
            return 1
        self.pos = found.end()
        count: _Count = Fraction(found[0]) if "." in found[0] else int(found[0])
        if count == 0:
            at, size = self.base + found.start(), len(found[0])
            raise _Wrong("formula-count", "A count of 0 in a formula.", at, size, "Leave it out.")
        return count

    def _symbol(self, char: str) -> str:
        two = self.text[self.pos : self.pos + 2]
        if two in KNOWN:
            self.pos += 2
            return two
        follows = two[1:].islower()  # `Xx`: the small letter belongs to the wrong symbol
        if char in KNOWN and not follows:
            self.pos += 1
            return char
        raise self._mistake(char, two if follows and char.isupper() else char)

    def _mistake(self, char: str, symbol: str) -> _Wrong:
        at = self.base + self.pos
        if char in ")]}":
            return _Wrong("formula-bracket", f"This '{char}' was never opened.", at)
        if char.isdigit():
            hint = "A formula starts with an element; the number belongs behind it."
            return _Wrong("formula-count", f"The number {char} follows nothing.", at, 1, hint)
        if char.isspace():
            hint = f"Write {self.text.replace(char, '')} in one piece."
            return _Wrong("formula-character", "There is a space inside the formula.", at, 1, hint)
        if not (char.isascii() and char.isalpha()):
            return _Wrong("formula-character", f"'{char}' has no place in a formula.", at)
        return _Wrong(
            "formula-element",
            f"There is no element '{symbol}'.",
            at,
            len(symbol),
            self._element_hint(symbol),
        )

    def _element_hint(self, symbol: str) -> str:
        if SHORTHAND.get(symbol):
            return f"Write it out: {SHORTHAND[symbol]} for {symbol}."
        runs = re.split(r"([A-Za-z]+)", self.text)
        ways = [respelled(run) if run.isalpha() else (run,) for run in runs]
        if all(ways):
            first = "".join(way[0] for way in ways)
            other = "".join(way[min(1, len(way) - 1)] for way in ways)
            return f"Did you mean {first}{f' or {other}' if other != first else ''}?"
        near = nearest(symbol)
        return f"Nearest symbols: {', '.join(near)}." if near else ""


__all__ = ["Formula", "parse_formula", "pretty_formula", "write_count", "write_formula"]
