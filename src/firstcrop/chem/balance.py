"""Balance an equation exactly: the rational null space of its element and charge table."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

from firstcrop.chem.equation import Equation, EquationTerm, imbalance, write_equation
from firstcrop.problems import Problem

_MOST_TERMS = 40

_Row = list[Fraction]


def balance(equation: Equation) -> Equation | Problem:
    """The equation with its smallest whole coefficients; states and order are kept.

    Written coefficients are ignored unless several balances are possible: then an equation that
    balances as written is taken at its word. Charge counts like an element, so half-reactions
    and ionic redox equations balance too. Codes: equation-impossible, equation-open.
    """
    terms = equation.terms
    if len(terms) > _MOST_TERMS:
        return _problem("equation-impossible", "Too many terms to balance.", equation)
    names, table = _table(equation)
    space = null_space(table, len(terms))
    if len(space) == 1:
        return _from_vector(equation, space[0], names)
    if not space:
        return _impossible(equation, names)
    if not imbalance(equation):
        return _with_counts(equation, [term.count for term in terms])
    return _open(equation, len(space), space)


def null_space(table: list[_Row], width: int) -> list[_Row]:
    """A basis of the vectors v with table · v = 0, exactly; empty when only zero does."""
    rows = [list(row) for row in table]
    pivots: list[int] = []
    for column in range(width):
        rank = len(pivots)
        found = next((r for r in range(rank, len(rows)) if rows[r][column]), None)
        if found is None:
            continue
        rows[rank], rows[found] = rows[found], rows[rank]
        rows[rank] = [value / rows[rank][column] for value in rows[rank]]
        for other in range(len(rows)):
            if other != rank and rows[other][column]:
                factor = rows[other][column]
                rows[other] = [a - factor * b for a, b in zip(rows[other], rows[rank], strict=True)]
        pivots.append(column)
    free = [column for column in range(width) if column not in pivots]
    return [_basis_vector(rows, pivots, column, width) for column in free]


def _basis_vector(rows: list[_Row], pivots: list[int], column: int, width: int) -> _Row:
    vector = [Fraction(0)] * width
    vector[column] = Fraction(1)
    for rank, pivot in enumerate(pivots):
        vector[pivot] = -rows[rank][column]
    return vector


def _table(equation: Equation) -> tuple[list[str], list[_Row]]:
    """Names of the rows (elements, then charge) and the signed counts, one column a term."""
    names = list(dict.fromkeys(s for term in equation.terms for s, _ in term.formula.elements))
    signed = [(1, t) for t in equation.left] + [(-1, t) for t in equation.right]
    table = [[sign * term.formula.count(name) for sign, term in signed] for name in names]
    table.append([Fraction(sign * term.formula.charge) for sign, term in signed])
    return [*names, "charge"], table


def _from_vector(equation: Equation, vector: _Row, names: list[str]) -> Equation | Problem:
    if sum(vector) < 0:
        vector = [-value for value in vector]
    terms = equation.terms
    idle = [t.formula.text for t, v in zip(terms, vector, strict=True) if v == 0]
    if idle:
        told = " and ".join(idle)
        stuck = _one_sided(equation, names)
        message = f"It balances only without {told}. {stuck}".strip()
        return _problem("equation-impossible", message, equation)
    wrong = [t.formula.text for t, v in zip(terms, vector, strict=True) if v < 0]
    if wrong:
        message = f"It balances only with {' and '.join(wrong)} on the other side of the arrow."
        return _problem("equation-impossible", message, equation)
    return _with_counts(equation, vector)


def _with_counts(equation: Equation, counts: list[Fraction]) -> Equation:
    scale = math.lcm(*(count.denominator for count in counts))
    shared = math.gcd(*(int(count * scale) for count in counts))
    whole = [count * scale / shared for count in counts]
    cut = len(equation.left)
    balanced = replace(
        equation,
        left=_counted(equation.left, whole[:cut]),
        right=_counted(equation.right, whole[cut:]),
    )
    return replace(balanced, text=write_equation(balanced))


def _counted(side: tuple[EquationTerm, ...], counts: list[Fraction]) -> tuple[EquationTerm, ...]:
    return tuple(replace(term, count=n) for term, n in zip(side, counts, strict=True))


def _one_sided(equation: Equation, names: list[str]) -> str:
    """Which elements stand on one side only, as a sentence; empty when none does."""
    told = []
    for name in names[:-1]:
        left = any(term.formula.count(name) for term in equation.left)
        right = any(term.formula.count(name) for term in equation.right)
        if left != right:
            told.append(f"{name} stands only on the {'left' if left else 'right'}.")
    return " ".join(told)


def _impossible(equation: Equation, names: list[str]) -> Problem:
    stuck = _one_sided(equation, names)
    if not stuck:
        _, table = _table(equation)
        charge_is_all = bool(null_space(table[:-1], len(equation.terms)))
        what = "the charge" if charge_is_all else "the elements"
        stuck = f"No coefficients balance {what}."
    off = "; ".join(f"{name} {_signed(gap)}" for name, gap in imbalance(equation))
    message = f"This equation cannot be balanced: {stuck} As written, right minus left: {off}."
    return _problem("equation-impossible", message, equation)


def _open(equation: Equation, freedom: int, space: list[_Row]) -> Problem:
    examples = []
    for vector in space:
        counts = [value + sum(other) for value, *other in zip(vector, *space, strict=True)]
        if all(count > 0 for count in counts):
            examples.append(write_equation(_with_counts(equation, counts)))
    off = "; ".join(f"{name} {_signed(gap)}" for name, gap in imbalance(equation))
    message = (
        f"{freedom} independent reactions are mixed in this equation, so its coefficients are not "
        f"fixed by elements and charge. As written, right minus left: {off}."
    )
    hint = "Write each reaction by itself, or balance it by hand."
    if examples:
        hint += f" One possible balance: {examples[0]}"
    return _problem("equation-open", message, equation, hint)


def _signed(value: Fraction) -> str:
    return f"+{value}" if value > 0 else str(value)


def _problem(code: str, message: str, equation: Equation, hint: str = "") -> Problem:
    return Problem(code, message, (equation.place,), hint)
