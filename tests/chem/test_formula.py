"""Formulas in every spelling, the message for every wrong one, and the printer as twin."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firstcrop.chem.formula import Formula, parse_formula, pretty_formula, write_formula
from firstcrop.chem.symbols import SYMBOLS
from firstcrop.problems import Place, Problem

SULFATE = {"S": 1, "O": 4}
ALUM = {"K": 1, "Al": 1, "S": 2, "O": 20, "H": 24}
SPELLINGS = [
    *[(t, SULFATE, -2) for t in ("SO4^2-", "SO4-2", "SO4 2-", "SO42-", "SO4²⁻", "SO₄²⁻", "SO4^-2")],
    *[(t, SULFATE, -2) for t in ("SO₄2-", "SO4--", "SO4−2", "SO4^{2-}", "SO4^(2-)", "[SO4]2-")],
    *[(t, {"Al": 1}, 3) for t in ("Al3+", "Al+3", "Al^3+", "Al+++", "Al³⁺", "Al(3+)", "Al 3+")],
    *[(t, {"Fe": 1}, 3) for t in ("Fe^3+", "Fe+3", "Fe3+")],
    ("K[Al(OH)4]", {"K": 1, "Al": 1, "O": 4, "H": 4}, 0),
    ("[Fe(C2O4)3]3-", {"Fe": 1, "C": 6, "O": 12}, -3),
    ("[Al(OH)4]-", {"Al": 1, "O": 4, "H": 4}, -1),
    ("Fe(CN)6-3", {"Fe": 1, "C": 6, "N": 6}, -3),
    ("Fe(CN)63-", {"Fe": 1, "C": 6, "N": 6}, -3),
    ("NH4+", {"N": 1, "H": 4}, 1),
    ("NO3-", {"N": 1, "O": 3}, -1),
    ("Cr2O72-", {"Cr": 2, "O": 7}, -2),
    ("S2O32-", {"S": 2, "O": 3}, -2),
    ("I3-", {"I": 3}, -1),
    ("Hg2+2", {"Hg": 2}, 2),
    ("Hg22+", {"Hg": 2}, 2),
    ("O2^-", {"O": 2}, -1),
    ("O2^2-", {"O": 2}, -2),
    ("C6H5O7-3", {"C": 6, "H": 5, "O": 7}, -3),
    ("{[(CH3)2N]2CH}2", {"C": 10, "H": 26, "N": 4}, 0),
    ("Fe0.95O", {"Fe": Fraction(19, 20), "O": 1}, 0),
    ("e-", {}, -1),
    *[
        (f"KAl(SO4)2{dot}12H2O", ALUM, 0)
        for dot in (".", "·", "*", "•", " · ", "∙", "⋅", " . ", " x ")
    ],
    ("KAl(SO4)2 · 12 H2O", ALUM, 0),
    ("KAl(SO₄)₂·12H₂O", ALUM, 0),
    ("K2SO4·Al2(SO4)3·24H2O", {k: 2 * n for k, n in ALUM.items()}, 0),
    *[
        (f"CaSO4{water}", {"Ca": 1, "S": 1, "O": Fraction(9, 2), "H": 1}, 0)
        for water in (".0.5H2O", "·½H2O", "·0.5H2O", "·0,5H2O", ".1/2H2O", " · ½ H2O")
    ],
    ("CuSO4.5H2O", {"Cu": 1, "S": 1, "O": 9, "H": 10}, 0),
    ("Na2CO3·1½H2O", {"Na": 2, "C": 1, "O": Fraction(9, 2), "H": 3}, 0),
    ("2PbCO3·Pb(OH)2", {"Pb": 3, "C": 2, "O": 8, "H": 2}, 0),
]

WRONG = [
    # text, code, column, part of message or hint
    ("", "formula-empty", 1, "no formula"),
    ("  ", "formula-empty", 1, "no formula"),
    ("NACL", "formula-element", 2, "Did you mean NaCl?"),
    ("nacl", "formula-element", 1, "Did you mean NaCl?"),
    ("H2o", "formula-element", 3, "Did you mean H2O?"),
    ("kno3", "formula-element", 1, "Did you mean KNO3?"),
    ("caco3", "formula-element", 1, "Did you mean CaCO3 or CaCo3?"),
    ("Xx2", "formula-element", 1, "Xe"),
    ("EtOH", "formula-element", 1, "C2H5"),
    ("Na(OH", "formula-bracket", 3, "never closed"),
    ("NaOH)", "formula-bracket", 5, "never opened"),
    ("K[Al(OH]4)", "formula-bracket", 8, "never opened"),
    ("()", "formula-bracket", 1, "Nothing stands"),
    ("(" * 30 + "H" + ")" * 30, "formula-bracket", 21, "too deep"),
    ("NaCl0", "formula-count", 5, "0"),
    ("2H2O", "formula-count", 1, "not part of the formula"),
    ("½", "formula-count", 1, "no formula after"),
    ("CuSO4·", "formula-water", 6, "dot"),
    ("CuSO4·xH2O", "formula-water", 7, "no number"),
    ("CuSO4·nH2O", "formula-water", 7, "how many"),
    ("CuSO4·5/0H2O", "formula-count", 7, "over 0"),
    ("Na Cl", "formula-character", 3, "NaCl in one piece"),
    ("Na%Cl", "formula-character", 3, "no place"),
    ("CO2(g)", "formula-state", 4, "CO2"),
    ("O2-", "formula-charge", 1, "O2^-"),
    ("N3-", "formula-charge", 1, "N^3-"),
    ("^2+", "formula-charge", 1, "without a formula"),
    ("H" * 300, "formula-character", 1, "too long"),
]


@pytest.mark.parametrize(("text", "atoms", "charge"), SPELLINGS)
def test_spellings(text: str, atoms: dict[str, int | Fraction], charge: int) -> None:
    formula = parse_formula(text)
    assert isinstance(formula, Formula), formula
    assert dict(formula.elements) == atoms
    assert formula.charge == charge


@pytest.mark.parametrize(("text", "code", "column", "told"), WRONG)
def test_wrong_formulas_say_where_and_what(text: str, code: str, column: int, told: str) -> None:
    problem = parse_formula(text, Place(7, 11, len(text)))
    assert isinstance(problem, Problem), problem
    assert (problem.code, problem.line) == (code, 7)
    assert problem.places[0].column == 10 + column
    assert told in f"{problem.message} {problem.hint}"


def test_water_is_counted() -> None:
    for text, water in (("CuSO4.5H2O", 5), ("CaSO4·½H2O", Fraction(1, 2)), ("NaCl", 0), ("H2O", 0)):
        formula = parse_formula(text)
        assert isinstance(formula, Formula)
        assert formula.water == water


def test_same_matter_however_written() -> None:
    one, other = parse_formula("Al(OH)4-"), parse_formula("[Al(OH)4]^-")
    assert isinstance(one, Formula)
    assert isinstance(other, Formula)
    assert one.same_matter(other)
    assert one.text != other.text
    third = parse_formula("Al(OH)4")
    assert isinstance(third, Formula)
    assert not one.same_matter(third)


def test_pretty() -> None:
    for text, shown in (
        ("SO4-2", "SO₄²⁻"),
        ("KAl(SO4)2.12H2O", "KAl(SO₄)₂·12H₂O"),
        ("K+", "K⁺"),
        ("O2^-", "O₂⁻"),
    ):
        formula = parse_formula(text)
        assert isinstance(formula, Formula)
        assert pretty_formula(formula) == shown


units = st.sampled_from(SYMBOLS)
counts = st.sampled_from(["", "2", "3", "4", "10", "11"])
simple = st.builds(lambda u, n: u + n, units, counts)
groups = st.recursive(
    st.lists(simple, min_size=1, max_size=3).map("".join),
    lambda inner: st.builds(
        lambda before, body, ends, n: f"{before}{ends[0]}{body}{ends[1]}{n}",
        simple,
        inner,
        st.sampled_from(["()", "[]", "{}"]),
        counts,
    ),
    max_leaves=4,
)
waters = st.sampled_from(["", "·H2O", "·½H2O", "·12H2O", "·2.5H2O", "·Cu(OH)2", "·KCl·6H2O"])
charges = st.sampled_from(["", "^+", "^-", "^2+", "^3-", "-2", "+3", "⁻", "²⁺"])


@given(st.builds(lambda g, w, c: g + w + c, groups, waters, charges))
@settings(max_examples=250, deadline=None)
def test_written_and_pretty_formulas_read_back(text: str) -> None:
    formula = parse_formula(text)
    assert isinstance(formula, Formula), (text, formula)
    assert parse_formula(write_formula(formula)) == formula
    assert parse_formula(pretty_formula(formula)) == formula


@given(st.one_of(st.text(max_size=40), st.text("KAlSO4()[]{}·.*^+-²⁻₂½ 0129egx/,", max_size=30)))
@settings(max_examples=700, deadline=None)
def test_any_text_gives_a_formula_or_a_problem(text: str) -> None:
    found = parse_formula(text, Place(1, 1, len(text)))
    if isinstance(found, Problem):
        assert 1 <= found.places[0].column <= max(len(text), 1)
    else:
        assert parse_formula(write_formula(found)) == found
        assert parse_formula(pretty_formula(found)) == found
