"""Limiting reagent, equivalents and theoretical yield, checked by hand arithmetic."""

from __future__ import annotations

import math

import pytest

from firstcrop.bank.elements import load_weights
from firstcrop.chem.equation import Equation, parse_equation
from firstcrop.chem.formula import Formula, parse_formula
from firstcrop.chem.stoichiometry import Limiting, equivalents, limiting, theoretical_yield
from firstcrop.problems import Problem

ALUMINATE = "2 Al + 2 KOH + 6 H2O -> 2 K[Al(OH)4] + 3 H2"


def equation(text: str) -> Equation:
    found = parse_equation(text)
    assert isinstance(found, Equation)
    return found


def formula(text: str) -> Formula:
    found = parse_formula(text)
    assert isinstance(found, Formula)
    return found


def test_the_reagent_that_runs_out_first() -> None:
    found = limiting(equation(ALUMINATE), {"Al": 0.1, "KOH": 0.12, "H2O": 3.0})
    assert isinstance(found, Limiting)
    assert found.term.formula.text == "Al"
    assert found.extent == pytest.approx(0.05)
    assert dict(found.left_over) == pytest.approx({"Al": 0.0, "KOH": 0.02, "H2O": 2.7})


def test_what_is_not_given_is_plenty() -> None:
    found = limiting(equation(ALUMINATE), {"KOH": 0.12})
    assert isinstance(found, Limiting)
    assert found.term.formula.text == "KOH"


def test_equivalents() -> None:
    amounts = {"Al": 0.1, "KOH": 0.12}
    to_limiting = equivalents(equation(ALUMINATE), amounts)
    assert not isinstance(to_limiting, Problem)
    assert dict(to_limiting) == pytest.approx({"Al": 1.0, "KOH": 1.2})
    to_base = equivalents(equation(ALUMINATE), amounts, of="KOH")
    assert not isinstance(to_base, Problem)
    assert dict(to_base) == pytest.approx({"Al": 1 / 1.2, "KOH": 1.0})


def test_yield_of_alum() -> None:
    """0.1 mol of aluminium gives 0.1 mol of alum, 47.439 g."""
    text = "K[Al(OH)4] + 2 H2SO4 + 8 H2O -> KAl(SO4)2·12H2O"
    found = theoretical_yield(
        equation(text), {"K[Al(OH)4]": 0.1}, formula("KAl(SO4)2.12H2O"), load_weights()
    )
    assert found == pytest.approx(0.047439, abs=2e-6)


@pytest.mark.parametrize(
    ("amounts", "code"),
    [
        ({}, "limiting-unknown"),
        ({"Al": -1.0}, "limiting-amount"),
        ({"Al": math.nan}, "limiting-amount"),
    ],
)
def test_amounts_that_make_no_sense(amounts: dict[str, float], code: str) -> None:
    problem = limiting(equation(ALUMINATE), amounts)
    assert isinstance(problem, Problem)
    assert problem.code == code


def test_equivalents_of_nothing_and_products_not_made() -> None:
    problem = equivalents(equation(ALUMINATE), {"Al": 0.0})
    assert isinstance(problem, Problem)
    problem2 = theoretical_yield(equation(ALUMINATE), {"Al": 1.0}, formula("NaCl"), load_weights())
    assert isinstance(problem2, Problem)
    assert problem2.code == "yield-product"
