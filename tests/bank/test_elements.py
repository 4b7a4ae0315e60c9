"""The atomic weight table, and molar masses made from it."""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest

from firstcrop.bank.elements import load_elements, load_weights
from firstcrop.chem.formula import Formula, parse_formula
from firstcrop.chem.symbols import SYMBOLS
from firstcrop.chem.weights import molar_mass
from firstcrop.problems import Problem

PUBLISHED = Path(__file__).parents[1] / "published" / "molar_masses.tsv"
# IUPAC: no characteristic terrestrial composition, so no standard atomic weight
WITHOUT = {"Tc", "Pm", "Po", "At", "Rn", "Fr", "Ra", "Ac"}


def rows() -> list[list[str]]:
    lines = PUBLISHED.read_text(encoding="utf-8").splitlines()
    return [line.split("\t") for line in lines if line and not line.startswith("#")][1:]


def formula(text: str) -> Formula:
    found = parse_formula(text)
    assert isinstance(found, Formula), found
    return found


def test_every_element_to_uranium_that_has_a_weight_is_there() -> None:
    wanted = [s for s in SYMBOLS[:92] if s not in WITHOUT]
    assert [e.symbol for e in load_elements()] == wanted
    for element in load_elements():
        assert SYMBOLS[element.number - 1] == element.symbol


def test_value_agrees_with_abridged_and_lies_in_its_interval() -> None:
    for e in load_elements():
        # the abridged value is the standard one to five figures; 1 in its last digit at most
        assert e.weight.value == pytest.approx(e.abridged, rel=1.5e-3 if e.interval else 5e-5)
        if e.interval:
            low, high = e.interval
            assert low <= e.weight.value <= high
        assert e.uncertainty > 0.0
        assert e.weight.band == pytest.approx(0.9 * math.sqrt(3.0) * e.uncertainty)


def test_weights_rise_with_number_but_for_the_known_exceptions() -> None:
    elements = load_elements()
    falls = {(a.symbol, b.symbol) for a, b in pairwise(elements) if b.weight.value < a.weight.value}
    assert falls == {("Ar", "K"), ("Co", "Ni"), ("Te", "I"), ("Th", "Pa")}


@pytest.mark.parametrize("row", rows(), ids=lambda row: row[0])
def test_molar_mass_against_handbook(row: list[str]) -> None:
    text, printed = row[0], row[1]
    mass = molar_mass(formula(text), load_weights())
    assert not isinstance(mass, Problem)
    decimals = len(printed.partition(".")[2])
    rounding = 0.5 * 10.0**-decimals
    # the handbook's older weights lie within the 2021 half-widths (sqrt 3 times the standard one)
    halves = {e.symbol: math.sqrt(3.0) * e.uncertainty * 1e3 for e in load_elements()}
    slack = sum(float(n) * halves[s] for s, n in formula(text).elements)
    assert abs(mass[0] * 1e3 - float(printed)) <= rounding + slack


@pytest.mark.parametrize("row", rows(), ids=lambda row: row[0])
def test_atoms_against_a_count_by_hand(row: list[str]) -> None:
    words = row[2].split()
    counts = {s: Fraction(n) for s, n in zip(words[::2], words[1::2], strict=True)}
    assert dict(formula(row[0]).elements) == counts
    weights = load_weights()
    mass = molar_mass(formula(row[0]), weights)
    assert not isinstance(mass, Problem)
    by_hand = sum(float(n) * weights[s].value for s, n in counts.items())
    assert mass[0] == pytest.approx(by_hand, rel=1e-14)


def test_alum_weighs_474_39() -> None:
    """Middles of the intervals: 39.0983 + 26.98154 + 2·32.0675 + 20·15.9994 + 24·1.007975."""
    mass = molar_mass(formula("KAl(SO4)2.12H2O"), load_weights())
    assert not isinstance(mass, Problem)
    assert round(mass[0] * 1e3, 2) == 474.39
    # 2·0.0085, 20·0.00037, 24·0.000135, 0.0001 as half-widths over sqrt 3, in quadrature
    wanted = math.sqrt(0.017**2 + 0.0074**2 + 0.00324**2 + 0.0001**2) / math.sqrt(3.0)
    assert mass[1] * 1e3 == pytest.approx(wanted, rel=1e-3)


def test_element_without_weight_is_a_problem() -> None:
    mass = molar_mass(formula("RaCl2"), load_weights())
    assert isinstance(mass, Problem)
    assert mass.code == "weight-missing"
    assert "Ra" in mass.message


def test_ions_of_a_salt_add_up_to_the_salt() -> None:
    def grams(text: str) -> float:
        mass = molar_mass(formula(text), load_weights())
        assert not isinstance(mass, Problem)
        return mass[0]

    parts = grams("K+") + grams("Al+3") + 2 * grams("SO4-2") + 12 * grams("H2O")
    assert parts == pytest.approx(grams("KAl(SO4)2·12H2O"), rel=1e-14)
