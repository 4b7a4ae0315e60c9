"""Amounts in a reaction: what runs out first, what is in excess, what it can give at most.

Amounts are mol, keyed by the canonical text of a formula (`Formula.text`).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from firstcrop.chem.equation import Equation, EquationTerm
from firstcrop.chem.formula import Formula
from firstcrop.chem.weights import Weights, molar_mass
from firstcrop.problems import Problem


@dataclass(frozen=True, slots=True)
class Limiting:
    """The reagent that runs out first. `extent` is mol of the equation as written; `left_over`
    is mol of each given reagent that remains."""

    term: EquationTerm
    extent: float
    left_over: tuple[tuple[str, float], ...]


def limiting(equation: Equation, amounts: Mapping[str, float]) -> Limiting | Problem:
    """Which of the given reagents runs out first; one not in `amounts` is taken as plenty.

    Codes: limiting-unknown (no amount of any reagent), limiting-amount (negative or not finite).
    """
    extents: list[tuple[float, EquationTerm]] = []
    for term in equation.left:
        amount = amounts.get(term.formula.text)
        if amount is None:
            continue
        if not math.isfinite(amount) or amount < 0:
            message = f"The amount of {term.formula.text} is {amount:g} mol, which cannot be."
            return Problem("limiting-amount", message, (term.place,))
        extents.append((amount / float(term.count), term))
    if not extents:
        message = "No amount of any reagent is known, so none can be limiting."
        return Problem("limiting-unknown", message, (equation.place,))
    extent, first = min(extents, key=lambda pair: pair[0])
    left_over = tuple(
        (term.formula.text, (own - extent) * float(term.count)) for own, term in extents
    )
    return Limiting(first, extent, left_over)


def equivalents(
    equation: Equation, amounts: Mapping[str, float], of: str = ""
) -> tuple[tuple[str, float], ...] | Problem:
    """Equivalents of each given reagent relative to the limiting one, or to the reagent `of`."""
    reference = equation if not of else _only(equation, of)
    first = limiting(reference, amounts)
    if isinstance(first, Problem):
        return first
    if first.extent == 0.0:
        message = f"There is no {first.term.formula.text}, so equivalents have no meaning."
        return Problem("limiting-amount", message, (first.term.place,))
    return tuple(
        (term.formula.text, amounts[term.formula.text] / float(term.count) / first.extent)
        for term in equation.left
        if term.formula.text in amounts
    )


def theoretical_yield(
    equation: Equation, amounts: Mapping[str, float], product: Formula, weights: Weights
) -> float | Problem:
    """The most of `product` the given reagents can make, kg.

    Codes: yield-product (the equation does not make it), and those of `limiting`, `molar_mass`.
    """
    term = next((t for t in equation.right if t.formula.same_matter(product)), None)
    if term is None:
        message = f"The equation does not make {product.text}."
        return Problem("yield-product", message, (equation.place,))
    first = limiting(equation, amounts)
    if isinstance(first, Problem):
        return first
    mass = molar_mass(product, weights)
    if isinstance(mass, Problem):
        return mass
    return first.extent * float(term.count) * mass[0]


def _only(equation: Equation, text: str) -> Equation:
    left = tuple(term for term in equation.left if term.formula.text == text)
    return Equation(left, equation.right, equation.reversible, equation.text, equation.place)
