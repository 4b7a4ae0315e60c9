"""Equations: reading, printing, checking, balancing, amounts."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from firstcrop.chem.balance import balance
from firstcrop.chem.equation import Equation, check, imbalance, parse_equation, write_equation
from firstcrop.problems import Place, Problem

READ = [
    # written, printed
    ("2 Al + 2 KOH + 6 H2O -> 2 K[Al(OH)4] + 3 H2",) * 2,
    ("2Al+6HCl->2AlCl3+3H2", "2 Al + 6 HCl -> 2 AlCl3 + 3 H2"),
    ("Ag+ + Cl- -> AgCl(s)", "Ag+ + Cl- -> AgCl(s)"),
    ("Ag+(aq)+Cl-(aq)→AgCl↓", "Ag+(aq) + Cl-(aq) -> AgCl(s)"),
    ("Ag++Cl- = AgCl", "Ag+ + Cl- -> AgCl"),
    ("Ag++Cl-->AgCl", "Ag+ + Cl- -> AgCl"),
    ("H2-->H2", "H2 -> H2"),
    ("CO3^2- + 2H+ ⇌ CO2↑ + H2O", "CO3-2 + 2 H+ <-> CO2(g) + H2O"),
    ("H2 + ½ O2 → H2O", "H2 + ½ O2 -> H2O"),
    ("H2+1/2O2 <-> H2O", "H2 + ½ O2 <-> H2O"),
    ("H2 + 0,5 O2 -> H2O", "H2 + ½ O2 -> H2O"),
    ("1½ O2 => O3", "3/2 O2 -> O3"),
    ("Al+3 + 3OH- --> Al(OH)3", "Al+3 + 3 OH- -> Al(OH)3"),
    ("Cr2O72- + 6 e- + 14 H+ -> 2 Cr3+ + 7H2O", "Cr2O7-2 + 6 e- + 14 H+ -> 2 Cr+3 + 7 H2O"),
    (
        "KAl(SO4)2.12H2O -> K+ + Al3+ + 2 SO4 2- + 12 H2O",
        "KAl(SO4)2·12H2O -> K+ + Al+3 + 2 SO4-2 + 12 H2O",
    ),
    ("2CaSO4·½H2O + 3 H2O -> 2CaSO4·2H2O", "2 CaSO4·0.5H2O + 3 H2O -> 2 CaSO4·2H2O"),
]

WRONG = [
    ("", "equation-arrow", 1),
    ("H2 + O2", "equation-arrow", 1),
    ("H2 -> H -> H2", "equation-arrow", 9),
    ("-> H2O", "equation-side", 1),
    ("H2O ->", "equation-side", 7),
    ("H2 + + O2 -> H2O", "equation-term", 6),
    ("H2 + O2 + -> H2O", "equation-term", 11),
    ("0 H2 -> H2", "equation-coefficient", 1),
    ("1/0 H2 -> H2", "equation-coefficient", 1),
    ("NACL -> Na + Cl2", "formula-element", 2),
    ("Na + CL2 -> NaCl", "formula-element", 7),
    ("2 Na + Cl2 -> 2 NaClx", "formula-element", 21),
    ("Na+ Cl- -> NaCl", "formula-character", 3),
    ("A -> B", "formula-element", 1),
    ("H2 -> " + "H" * 3000, "equation-term", 1),
]

# coefficients as in general chemistry textbooks; each can be verified by counting
BALANCED = [
    ("H2 + O2 -> H2O", "2 H2 + O2 -> 2 H2O"),
    ("Al + KOH + H2O -> K[Al(OH)4] + H2", "2 Al + 2 KOH + 6 H2O -> 2 K[Al(OH)4] + 3 H2"),
    (
        "MnO4- + Fe2+ + H+ -> Mn2+ + Fe3+ + H2O",
        "MnO4- + 5 Fe+2 + 8 H+ -> Mn+2 + 5 Fe+3 + 4 H2O",
    ),
    (
        "Cr2O72- + C2O42- + H+ -> Cr3+ + CO2 + H2O",
        "Cr2O7-2 + 3 C2O4-2 + 14 H+ -> 2 Cr+3 + 6 CO2 + 7 H2O",
    ),
    ("Cr2O72- + e- + H+ -> Cr3+ + H2O", "Cr2O7-2 + 6 e- + 14 H+ -> 2 Cr+3 + 7 H2O"),
    ("Cu + HNO3 -> Cu(NO3)2 + NO + H2O", "3 Cu + 8 HNO3 -> 3 Cu(NO3)2 + 2 NO + 4 H2O"),
    (
        "CuSO4·5H2O + NaOH -> Cu(OH)2 + Na2SO4 + H2O",
        "CuSO4·5H2O + 2 NaOH -> Cu(OH)2 + Na2SO4 + 5 H2O",
    ),
    ("S2O32- + I3- -> S4O62- + I-", "2 S2O3-2 + I3- -> S4O6-2 + 3 I-"),
    ("H2 + ½ O2 -> H2O", "2 H2 + O2 -> 2 H2O"),
    ("CaSO4·½H2O + H2O -> CaSO4·2H2O", "2 CaSO4·0.5H2O + 3 H2O -> 2 CaSO4·2H2O"),
]

CANNOT = [
    ("NaCl -> KCl", "equation-impossible", ("Na stands only on the left", "K +1")),
    ("Fe3+ -> Fe2+", "equation-impossible", ("the charge", "charge -1")),
    ("H2O -> H2O + O2", "equation-impossible", ("without O2",)),
    ("H2O + H2 -> O2", "equation-impossible", ("H2 on the other side",)),
    ("MnO4- + Fe2+ -> Mn2+ + Fe3+", "equation-impossible", ("O stands only on the left", "O -4")),
    (
        "MnO4- + H2O2 + H+ -> Mn2+ + O2 + H2O",
        "equation-open",
        ("2 independent reactions", "charge +2"),
    ),
]


def equation(text: str) -> Equation:
    found = parse_equation(text)
    assert isinstance(found, Equation), found
    return found


@pytest.mark.parametrize(("text", "printed"), READ)
def test_read_and_printed(text: str, printed: str) -> None:
    found = equation(text)
    assert write_equation(found) == printed
    assert equation(printed) == found


def test_terms_know_their_place() -> None:
    found = parse_equation("2 Al + 6 HCl -> AlCl3", Place(4, 10, 21))
    assert isinstance(found, Equation)
    assert [(t.place.column, t.place.length) for t in found.terms] == [(10, 4), (17, 5), (26, 5)]


@pytest.mark.parametrize(("text", "code", "column"), WRONG)
def test_wrong_equations_say_where(text: str, code: str, column: int) -> None:
    problem = parse_equation(text, Place(3, 1, len(text)))
    assert isinstance(problem, Problem), problem
    assert (problem.code, problem.places[0].column) == (code, column), problem


def test_check_says_which_and_by_how_much() -> None:
    assert check(equation("2 H2 + O2 -> 2 H2O")) is None
    problem = check(equation("H2 + O2 -> H2O"))
    assert problem is not None
    assert "1 O too many on the left (2 against 1)" in problem.message
    problem = check(equation("Fe3+ + Cu -> Fe2+ + Cu2+"))
    assert problem is not None
    assert "charge +3 on the left, +4 on the right" in problem.message


@pytest.mark.parametrize(("text", "wanted"), BALANCED)
def test_balance(text: str, wanted: str) -> None:
    found = balance(equation(text))
    assert isinstance(found, Equation), found
    assert write_equation(found) == wanted
    assert imbalance(found) == ()


@pytest.mark.parametrize(("text", "code", "told"), CANNOT)
def test_what_cannot_be_balanced_says_why(text: str, code: str, told: tuple[str, ...]) -> None:
    problem = balance(equation(text))
    assert isinstance(problem, Problem)
    assert problem.code == code
    for part in told:
        assert part in problem.message


def test_open_equation_balanced_by_hand_is_taken_at_its_word() -> None:
    text = "2 MnO4- + 5 H2O2 + 6 H+ -> 2 Mn+2 + 5 O2 + 8 H2O"
    found = balance(equation(text))
    assert isinstance(found, Equation)
    assert write_equation(found) == text


FORMULAS = (
    "H2O O2 H2 KNO3 KAl(SO4)2·12H2O SO4-2 Al+3 H+ OH- e- CO2 CaCO3 HCl MnO4- Mn+2 I3- I- "
    "K[Al(OH)4] C6H8O7 CaSO4·½H2O (PbCO3)2·Pb(OH)2 O2^-"
)
formulas = st.sampled_from(FORMULAS.split())
sides = st.lists(
    st.tuples(
        st.sampled_from(["", "2 ", "½ ", "3", "7/3 "]), formulas, st.sampled_from(["", "(s)"])
    ),
    min_size=1,
    max_size=4,
).map(lambda terms: " + ".join("".join(t) for t in terms))


@given(sides, st.sampled_from([" -> ", "→", " <-> ", " = "]), sides)
@settings(max_examples=150, deadline=None)
def test_print_reads_back_and_balancing_is_exact(left: str, arrow: str, right: str) -> None:
    found = equation(left + arrow + right)
    assert equation(write_equation(found)) == found
    answer = balance(found)
    if isinstance(answer, Equation):
        assert imbalance(answer) == ()
        assert all(t.count > 0 and t.count.denominator == 1 for t in answer.terms)
        assert check(answer) is None
    else:
        assert answer.code in {"equation-impossible", "equation-open"}


@given(st.lists(st.tuples(formulas, st.integers(1, 9)), min_size=2, max_size=5))
@settings(max_examples=100, deadline=None)
def test_counts_scaled_by_a_half_balance_to_the_same(terms: list[tuple[str, int]]) -> None:
    body = " + ".join(f"{n} {f}" for f, n in terms)
    found = equation(f"{body} -> {body}")
    assume(isinstance(balance(found), Equation))
    assert check(found) is None


@given(st.one_of(st.text(max_size=60), st.text("2HOAl+-> =½(aq)sg.·²⁻/", max_size=40)))
@settings(max_examples=400, deadline=None)
def test_any_text_gives_an_equation_or_a_problem(text: str) -> None:
    found = parse_equation(text, Place(1, 1, len(text)))
    if isinstance(found, Equation):
        assert parse_equation(write_equation(found)) == found
        assert all(isinstance(t.count, Fraction) for t in found.terms)
    else:
        assert 1 <= found.places[0].column <= len(text) + 1
