"""Atom economy against published worked values."""

from __future__ import annotations

import math

import pytest

from firstcrop.account.economy import atom_economy
from firstcrop.bank.bank import load_bank
from firstcrop.forecast.records import Forecast
from firstcrop.sheet.read import read_sheet


def economy(makes: str, *reactions: str):
    lines = "\n".join(f"- {r}" for r in reactions)
    text = f"# Test\n\nMakes {makes}.\n\n## Reactions\n\n{lines}\n"
    return atom_economy(Forecast(read_sheet(text).preparation), load_bank())


@pytest.mark.parametrize(
    ("makes", "reactions", "percent", "tolerance"),
    [
        # arithmetic with IUPAC weights: CuSO4·5H2O 249.68 of CuO 79.545 + H2SO4 98.07 + 4 H2O 72.06
        ("copper sulfate, CuSO4·5H2O", ("CuO + H2SO4 + 4 H2O -> CuSO4·5H2O",), 100.0, 0.01),
        # RSC/AQA teaching example of hydrogen from methane's kin: Fe2O3 + 3 CO -> 2 Fe + 3 CO2,
        # 111.69/243.72 = 45.8 %
        ("iron, Fe", ("Fe2O3 + 3 CO -> 2 Fe + 3 CO2",), 45.8, 0.05),
    ],
)
def test_atom_economy(makes, reactions, percent, tolerance):
    assert 100 * economy(makes, *reactions).value == pytest.approx(percent, abs=tolerance)


def test_an_intermediate_is_replaced_by_what_makes_it():
    acid = "Fe + H2SO4 + 7 H2O -> FeSO4·7H2O + H2"
    one = economy("green vitriol, FeSO4·7H2O", acid)
    two = economy("green vitriol, FeSO4·7H2O", "Fe2O3 + 3 CO -> 2 Fe + 3 CO2", acid)
    # IUPAC weights: 278.01 of H2SO4 98.07 + 7 H2O 126.11 + Fe 55.845, or half of Fe2O3 + 3 CO
    assert one.value == pytest.approx(278.01 / 280.02, rel=1e-4)
    assert two.value == pytest.approx(278.01 / (98.07 + 126.11 + 121.86), rel=1e-4)


def test_a_sheet_that_does_not_say_how_has_no_atom_economy():
    found = economy("green vitriol, FeSO4·7H2O", "CuO + H2SO4 -> CuSO4 + H2O")
    assert math.isnan(found.value)
    assert found.why == "no declared reaction makes the target"
