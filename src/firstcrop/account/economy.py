"""How thrifty a run was: atom economy and process mass intensity."""

from __future__ import annotations

import math
from collections.abc import Iterable
from fractions import Fraction

from firstcrop.account.numbers import ratio, unknown
from firstcrop.bank.bank import Bank
from firstcrop.bank.lookup import find_substance
from firstcrop.chem.equation import Equation, EquationTerm
from firstcrop.chem.formula import Formula, parse_formula
from firstcrop.chem.weights import molar_mass
from firstcrop.forecast.records import Forecast, Number, Term, Working
from firstcrop.problems import Problem

MOST_ROUNDS = 20


def atom_economy(forecast: Forecast, bank: Bank) -> Number:
    """Mass of target over mass of all reagents of the declared reactions (Trost 1991, Science 254,
    1471): reactions that make a reagent of a later one are added in, in its proportion."""
    target = parse_formula(target_formula(forecast, bank))
    equations = [r.equation for r in forecast.preparation.reactions]
    if isinstance(target, Problem):
        return unknown("1", "the sheet names no target")
    makes = next((e for e in equations if _count(e.right, target)), None)
    if makes is None:
        return unknown("1", "no declared reaction makes the target")
    needs = _needs(makes, target, equations)
    masses = [(formula, count, molar_mass(formula, bank.weights)) for formula, count in needs]
    own = molar_mass(target, bank.weights)
    if isinstance(own, Problem) or any(isinstance(m, Problem) for *_, m in masses):
        return unknown("1", "a reagent has no molar mass")
    whole = math.fsum(float(n) * m[0] for _, n, m in masses if not isinstance(m, Problem))
    terms = (Term("target", own[0], "kg/mol"), Term("1 / reagents", 1.0 / whole, "mol/kg"))
    notes = tuple(f"{float(count):g} {formula.text}" for formula, count in needs)
    value = own[0] / whole
    working = Working(value, "1", "product", terms, "atom economy", "Trost 1991", notes)
    return Number(value, value, value, "1", working)


def target_formula(forecast: Forecast, bank: Bank) -> str:
    """The formula of what the sheet makes, empty when it does not say or the bank does not know."""
    sheet = forecast.preparation
    for name in (sheet.target_formula, sheet.target):
        found = find_substance(bank, name) if name else None
        if found is not None and not isinstance(found, Problem):
            return found.formula
    return sheet.target_formula


def _count(terms: Iterable[EquationTerm], formula: Formula) -> Fraction:
    return sum((t.count for t in terms if t.formula.same_matter(formula)), Fraction(0))


def _needs(
    makes: Equation, target: Formula, equations: list[Equation]
) -> list[tuple[Formula, Fraction]]:
    """Reagents, and how many of each, for one target; intermediates replaced by what makes them."""
    per = 1 / _count(makes.right, target)
    needs = [(t.formula, t.count * per) for t in makes.left]
    used = [makes]
    for _ in range(MOST_ROUNDS):
        found = _maker(needs, equations, used)
        if found is None:
            break
        formula, count, equation = found
        used.append(equation)
        times = count / _count(equation.right, formula)
        needs = [n for n in needs if not n[0].same_matter(formula)]
        needs += [(t.formula, t.count * times) for t in equation.left]
    return needs


def _maker(
    needs: list[tuple[Formula, Fraction]], equations: list[Equation], used: list[Equation]
) -> tuple[Formula, Fraction, Equation] | None:
    for formula, count in needs:
        for equation in equations:
            if equation not in used and _count(equation.right, formula) and formula.text != "H2O":
                return formula, count, equation
    return None


def mass_intensity(forecast: Forecast, product: Number) -> Number:
    """kg put in, water and all, a kg of dry product (process mass intensity: ACS GCI Pharmaceutical
    Roundtable, Jimenez-Gonzalez 2011, Org. Process Res. Dev. 15, 912)."""
    put_in = next((b.put_in for b in forecast.balances if b.quantity == "mass"), math.nan)
    if not math.isfinite(put_in):
        return unknown("1", "the mass put in is not known")
    return ratio(Number(put_in, put_in, put_in, "kg"), product, "1", ("all put in", "product"))
