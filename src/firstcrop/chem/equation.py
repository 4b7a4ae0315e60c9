"""Chemical equations: read, written, checked. `2 Al + 2 KOH + 6 H2O -> 2 K[Al(OH)4] + 3 H2`.

Balancing is in `chem.balance`, amounts in `chem.stoichiometry`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction
from types import MappingProxyType

from firstcrop.chem.formula import Formula, parse_formula, write_count, write_formula
from firstcrop.chem.symbols import VULGAR, plain
from firstcrop.problems import UNPLACED, Place, Problem

_LONGEST = 2000
_ARROW = re.compile(
    r"(?P<both><[-–−=]+>|⇌|⇄|↔|⟷|⇋|⇔)|(?P<one>[-–−=]+>|→|⟶|⇒|⟹)|(?P<equal>(?<![<=>])=+(?![<=>]))"
)
_TIED_ARROW = re.compile(r"\S[-–−]{2,}>")  # `Cl-->`: a charge and `->`, or a long arrow
_COEFFICIENT = re.compile(
    r"(\d{1,6})\s*/\s*(\d{1,6})\s*|(\d{1,6}(?:[.,]\d{1,6})?)?([½⅓⅔¼¾⅕⅙])?\s*",
    re.ASCII,
)
_STATE = re.compile(r"\s*\((s|l|g|aq|cr|am)\)$")
_MARKS = MappingProxyType({"↑": "g", "↓": "s"})
_TERM_START = re.compile(r"\s*[\d½⅓⅔¼¾⅕⅙.,/]*\s*(?:\((?!(?:s|l|g|aq|cr|am)\))|[A-Z\[{]|e\s*[-⁻^])")


@dataclass(frozen=True, slots=True)
class EquationTerm:
    """One term: how many of which formula, and the state when one was written
    (`s`, `l`, `g`, `aq`, `cr`, `am`)."""

    count: Fraction
    formula: Formula
    text: str = field(default="", compare=False)
    state: str = ""
    place: Place = field(default=UNPLACED, compare=False)


@dataclass(frozen=True, slots=True)
class Equation:
    """Both sides in the order written."""

    left: tuple[EquationTerm, ...]
    right: tuple[EquationTerm, ...]
    reversible: bool = False
    text: str = field(default="", compare=False)
    place: Place = field(default=UNPLACED, compare=False)

    @property
    def terms(self) -> tuple[EquationTerm, ...]:
        """Left and right terms together."""
        return self.left + self.right


def parse_equation(text: str, place: Place = UNPLACED) -> Equation | Problem:
    """Read an equation; it need not balance (see `check`). Never raises.

    `place` is where `text` starts. Codes: equation-arrow, equation-side, equation-term,
    equation-coefficient, and those of `parse_formula`.
    """
    if len(text) > _LONGEST:
        return Problem("equation-term", "This is too long to be an equation.", (place,))
    arrows = list(_ARROW.finditer(text))
    if len(arrows) != 1:
        return _arrow_problem(text, arrows, place)
    arrow = arrows[0]
    if _TIED_ARROW.match(text, max(arrow.start() - 1, 0)):
        other = _cut_at(text, arrow.start() + 1, arrow, place)
        if isinstance(other, Equation) and not imbalance(other):
            return other
    return _cut_at(text, arrow.start(), arrow, place)


def _cut_at(text: str, start: int, arrow: re.Match[str], place: Place) -> Equation | Problem:
    """Both sides of an arrow that begins at `start`."""
    sides = []
    for low, high in ((0, start), (arrow.end(), len(text))):
        side = _side(text[low:high], place.shifted(low, max(high - low, 1)))
        if isinstance(side, Problem):
            return side
        sides.append(side)
    spot = place.shifted(0, max(len(text), 1))
    return Equation(sides[0], sides[1], arrow.lastgroup == "both", text, spot)


def write_equation(equation: Equation) -> str:
    """The twin of `parse_equation`: reads back to the same Equation."""
    arrow = " <-> " if equation.reversible else " -> "
    return arrow.join(
        " + ".join(_write_term(term) for term in side) for side in (equation.left, equation.right)
    )


def imbalance(equation: Equation) -> tuple[tuple[str, Fraction], ...]:
    """Right minus left of every element, then of "charge"; only those that are off."""
    total: dict[str, Fraction] = {}
    charge = Fraction(0)
    for sign, side in ((-1, equation.left), (1, equation.right)):
        for term in side:
            charge += sign * term.count * term.formula.charge
            for symbol, atoms in term.formula.elements:
                total[symbol] = total.get(symbol, Fraction(0)) + sign * term.count * atoms
    off = [(symbol, gap) for symbol, gap in total.items() if gap]
    return (*off, ("charge", charge)) if charge else tuple(off)


def check(equation: Equation) -> Problem | None:
    """None when elements and charge balance, else which are off and by how much."""
    gaps = imbalance(equation)
    if not gaps:
        return None
    told = "; ".join(_gap(equation, name, gap) for name, gap in gaps)
    message = f"The equation does not balance: {told}."
    places = (equation.place,) if equation.place.line else ()
    return Problem("equation-unbalanced", message, places)


def _gap(equation: Equation, name: str, gap: Fraction) -> str:
    left, right = (_side_total(side, name) for side in (equation.left, equation.right))
    if name == "charge":
        return f"charge {_signed(left)} on the left, {_signed(right)} on the right"
    side = "right" if gap > 0 else "left"
    return f"{abs(gap)} {name} too many on the {side} ({left} against {right})"


def _side_total(side: tuple[EquationTerm, ...], name: str) -> Fraction:
    if name == "charge":
        return sum((t.count * t.formula.charge for t in side), Fraction(0))
    return sum((t.count * t.formula.count(name) for t in side), Fraction(0))


def _signed(value: Fraction) -> str:
    return f"+{value}" if value > 0 else str(value)


def _write_term(term: EquationTerm) -> str:
    count = write_count(term.count)
    state = f"({term.state})" if term.state else ""
    return f"{count}{' ' if count else ''}{write_formula(term.formula)}{state}"


def _arrow_problem(text: str, arrows: list[re.Match[str]], place: Place) -> Problem:
    hint = "Write it like 2 H2 + O2 -> 2 H2O."
    if not arrows:
        spot = place.shifted(0, max(len(text), 1))
        return Problem("equation-arrow", "There is no arrow (->) in this equation.", (spot,), hint)
    second = arrows[1]
    spot = place.shifted(second.start(), second.end() - second.start())
    message = "There is more than one arrow; write each step as an equation of its own."
    return Problem("equation-arrow", message, (spot,))


def _side(text: str, place: Place) -> tuple[EquationTerm, ...] | Problem:
    if not text.strip():
        message = "Nothing stands on this side of the arrow."
        return Problem("equation-side", message, (place,), "Write it like 2 H2 + O2 -> 2 H2O.")
    terms = []
    for start, end in _cuts(text):
        term = _term(text[start:end], place.shifted(start, max(end - start, 1)))
        if isinstance(term, Problem):
            return term
        terms.append(term)
    return tuple(terms)


def _cuts(text: str) -> list[tuple[int, int]]:
    """Where the terms of a side stand. A '+' separates when a term starts behind it, unless it
    is tied to the formula before and a space follows (`Ag+ Cl-`): then it is a charge."""
    flat = plain(text)
    cuts = [-1]
    for at, char in enumerate(flat):
        if char != "+" or not flat[:at].strip():
            continue
        tied = not flat[at - 1].isspace() and flat[at + 1 : at + 2].isspace()
        if _loose(flat, at) or (not tied and _TERM_START.match(text, at + 1)):
            cuts.append(at)
    return list(zip([cut + 1 for cut in cuts], [*cuts[1:], len(text)], strict=True))


def _loose(flat: str, at: int) -> bool:
    """A '+' with space (or the end) on both sides always separates."""
    return flat[at - 1].isspace() and not flat[at + 1 : at + 2].strip()


def _term(text: str, place: Place) -> EquationTerm | Problem:
    lead = len(text) - len(text.lstrip())
    body = text.strip()
    place = place.shifted(lead, max(len(body), 1))
    if not body:
        message = "A term is missing beside this '+'."
        return Problem("equation-term", message, (place,), "Write a formula or drop the '+'.")
    count, used = _coefficient(body)
    if count == 0:
        spot = place.shifted(0, max(used, 1))
        message = "A coefficient must be a number above 0."
        return Problem("equation-coefficient", message, (spot,))
    rest, state = _without_state(body[used:])
    formula = parse_formula(rest, place.shifted(used, max(len(rest), 1)))
    if isinstance(formula, Problem):
        return _explained(formula, rest)
    return EquationTerm(count, formula, body, state, place)


def _coefficient(body: str) -> tuple[Fraction, int]:
    found = _COEFFICIENT.match(body)
    if found is None or not found[0].strip():
        return Fraction(1), 0
    if found[1]:
        below = int(found[2])
        return (Fraction(int(found[1]), below) if below else Fraction(0)), found.end()
    count = Fraction((found[3] or "0").replace(",", "."))
    if found[4]:
        count += Fraction(*VULGAR[found[4]])
    return count, found.end()


def _without_state(text: str) -> tuple[str, str]:
    bare = text.rstrip()
    if bare and bare[-1] in _MARKS:
        return bare[:-1].rstrip(), _MARKS[bare[-1]]
    if found := _STATE.search(bare):
        return bare[: found.start()], found[1]
    return bare, ""


def _explained(problem: Problem, rest: str) -> Problem:
    """Two formulas without a '+' between are told as such."""
    if problem.code == "formula-character" and re.search(r"\S\s+\S", rest):
        hint = "Put a '+' with a space on both sides between two formulas."
        return Problem(problem.code, problem.message, problem.places, hint)
    return problem
