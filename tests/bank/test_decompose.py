"""Formulas taken apart: the right oxidation state, water and protons, or a Problem."""

from __future__ import annotations

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.bank.decompose import decompose
from firstcrop.bank.records import Solid
from firstcrop.chem.formula import parse_formula
from firstcrop.problems import Problem

BANK = load_bank()

WAYS = (
    ("K[Al(OH)4]", "K+ 1; Al+3 1; H2O 4; H+ -4"),
    ("K3[Fe(C2O4)3]", "K+ 3; Fe+3 1; C2O4-2 3"),
    ("K3Fe(C2O4)3·3H2O", "K+ 3; Fe+3 1; C2O4-2 3; H2O 3"),
    ("Fe(OH)3", "Fe+3 1; H2O 3; H+ -3"),
    ("Fe(OH)2", "Fe+2 1; H2O 2; H+ -2"),
    ("NaHCO3", "Na+ 1; H+ 1; CO3-2 1"),
    ("C7H4O3Na2", "Na+ 2; C7H5O3- 1; H+ -1"),
    ("Fe3O4", "Fe+2 1; Fe+3 2; H2O 4; H+ -8"),
    ("(NH4)2CO3", "NH4+ 2; CO3-2 1"),
    ("Fe2(SO4)3·9H2O", "Fe+3 2; SO4-2 3; H2O 9"),
    ("CuCl", "Cu+ 1; Cl- 1"),
    ("Cu2(OH)3Cl", "Cu+2 2; Cl- 1; H2O 3; H+ -3"),
    ("Na3[Al(OH)6]", "Na+ 3; Al+3 1; H2O 6; H+ -6"),
    ("Ca(HCO3)2", "Ca+2 1; CO3-2 2; H+ 2"),
    ("KH3(C2O4)2·2H2O", "K+ 1; C2O4-2 2; H2O 2; H+ 3"),
    ("Mg(CH3COO)2·4H2O", "Mg+2 1; CH3COO- 2; H2O 4"),
    ("Mg2(OH)2CO3", "Mg+2 2; CO3-2 1; H2O 2; H+ -2"),
    ("[Fe(C2O4)2]-", "Fe+3 1; C2O4-2 2"),
    ("Al(OH)4-", "Al+3 1; H2O 4; H+ -4"),
    ("SO2", "SO3-2 1; H+ 2; H2O -1"),
    ("CO2", "CO3-2 1; H+ 2; H2O -1"),
    ("NH3", "NH4+ 1; H+ -1"),
    ("SO4-2", "SO4-2 1"),
)


@pytest.mark.parametrize(("formula", "way"), WAYS)
def test_way(formula: str, way: str) -> None:
    found = decompose(BANK, formula)
    assert not isinstance(found, Problem), found
    expected = dict(part.rsplit(" ", 1) for part in way.split("; "))
    assert dict(found) == {key: float(count) for key, count in expected.items()}


@pytest.mark.parametrize(
    "formula", ["MnO2", "Fe", "Pb3O4", "CuFe(CN)6", "Na2S2O4", "C10H8", "SiO2"]
)
def test_what_cannot_dissolve_as_known_species_is_a_problem(formula: str) -> None:
    found = decompose(BANK, formula)
    assert isinstance(found, Problem)
    assert found.code in ("bank.no-components", "bank.ambiguous-components")
    assert found.hint


def test_a_sugar_is_no_pile_of_acetic_acids() -> None:
    found = decompose(BANK, "C5H10O5·C")
    assert isinstance(found, Problem)


def test_a_wrong_formula_keeps_its_own_problem() -> None:
    found = decompose(BANK, "Kx2")
    assert isinstance(found, Problem)
    assert found.code.startswith("formula-")


@pytest.mark.parametrize("key", list(BANK.substances))
def test_every_substance_row_comes_back(key: str) -> None:
    substance = BANK.substances[key]
    if substance.components:
        found = decompose(BANK, substance.formula)
        assert not isinstance(found, Problem)
        assert dict(found) == dict(substance.components)


@pytest.mark.parametrize("solid", BANK.solids.values(), ids=lambda s: s.key)
def test_every_solid_of_the_bank_agrees(solid: Solid) -> None:
    """The table of solids and this search were made apart: where both know, they agree."""
    formula = parse_formula(solid.key.split(" (")[0])
    if isinstance(formula, Problem):
        return
    found = decompose(BANK, formula)
    if not isinstance(found, Problem):
        assert dict(found) == dict(solid.components)


@pytest.mark.parametrize("formula", ["CCl3COOH", "NaC2Cl3O2", "CHCl3", "ClCH2COOH", "C2H4Br2"])
def test_a_halogen_bound_to_carbon_is_no_halide(formula: str) -> None:
    found = decompose(load_bank(), formula)
    assert isinstance(found, Problem)
    assert found.code == "bank.no-components"


def test_a_double_salt_of_carbonate_and_chloride_still_is_one() -> None:
    assert dict(decompose(load_bank(), "Na2CO3·2NaCl")) == {"Na+": 4.0, "Cl-": 2.0, "CO3-2": 1.0}
