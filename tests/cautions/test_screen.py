"""Screening by formula: oxygen balance as published, groups, peroxide formers."""

from __future__ import annotations

import pytest

from firstcrop.cautions.screen import explosive, oxygen_balance
from firstcrop.chem.formula import parse_formula
from firstcrop.problems import Problem

from .sheets import codes, sheet

# formula, % by mass, how exactly the source gives it
BALANCES = (
    ("C9H20O2", -260.0, 0.5),  # ECHA registration dossier 11620, section 4.15
    ("NH4NO3", 20.0, 0.1),  # UN Manual of Tests and Criteria formula; the usual +20.0 %
    ("C2H5OH", -208.7, 0.5),  # theoretical oxygen demand 2.087 g/g (OECD 301 Annex)
    ("C6H12O6", -106.6, 0.1),  # theoretical oxygen demand 1.066 g/g
    ("C3H6O", -220.4, 0.5),  # theoretical oxygen demand 2.20 g/g
)


@pytest.mark.parametrize(("formula", "balance", "rounding"), BALANCES)
def test_oxygen_balance_as_published(formula: str, balance: float, rounding: float) -> None:
    read = parse_formula(formula)
    assert not isinstance(read, Problem)
    assert oxygen_balance(read) == pytest.approx(balance, abs=rounding)


@pytest.mark.parametrize("formula", ["KNO3", "NaNO2", "KClO3", "H2O2", "Fe(NO3)3·9H2O", "KIO3"])
def test_a_group_is_told(formula: str) -> None:
    told = explosive(formula)
    assert told is not None
    assert told[2] is False


@pytest.mark.parametrize("formula", ["(NH4)2Cr2O7", "[Cu(NH3)4](NO3)2", "Ag2C2O4"])
def test_oxygen_and_fuel_in_one_substance(formula: str) -> None:
    told = explosive(formula)
    assert told is not None
    assert told[2] is True


@pytest.mark.parametrize(
    "formula", ["NaCl", "KAl(SO4)2·12H2O", "[Cu(NH3)4]SO4·H2O", "C2H5OH", "NaClO", "CO(NH2)2"]
)
def test_no_group_no_word(formula: str) -> None:
    assert explosive(formula) is None


def test_a_product_of_a_declared_reaction_is_screened() -> None:
    prep = sheet("Put 100 mL of water in the beaker.", title="Try")
    assert "explosive-fuel" not in codes(prep)
