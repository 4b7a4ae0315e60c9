"""Every row of components, species and gases: balanced, sourced, within what can be."""

from __future__ import annotations

from fractions import Fraction

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.chem.formula import Formula, parse_formula

BANK = load_bank()
PLANNED = (
    "H2O", "H+", "K+", "Na+", "NH4+", "Li+", "Mg+2", "Ca+2", "Sr+2", "Ba+2", "Al+3", "Cr+3",
    "Mn+2", "Fe+2", "Fe+3", "Co+2", "Ni+2", "Cu+2", "Zn+2", "Ag+", "Pb+2", "Cl-", "Br-", "I-",
    "F-", "SO4-2", "NO3-", "NO2-", "CO3-2", "PO4-3", "C2O4-2", "CH3COO-", "HCOO-", "C6H5O7-3",
    "C4H4O6-2", "S2O3-2", "SO3-2", "SCN-", "HS-", "ClO-", "Fe(CN)6-3", "Fe(CN)6-4", "C7H5O3-",
    "C7H5O2-", "B(OH)3", "CO(NH2)2", "C2H5OH", "H2O2", "C12H22O11", "C8H9NO", "H2", "O2", "N2",
    "Cl2",
)  # fmt: skip
FORMING = [*BANK.species.values(), *BANK.gases.values()]


def formula(text: str) -> Formula:
    found = parse_formula(text)
    assert isinstance(found, Formula), text
    return found


def elements(key: str) -> dict[str, Fraction]:
    return dict(formula(key.removesuffix("(g)")).elements)


def test_what_the_bench_needs_is_there():
    assert set(PLANNED) <= set(BANK.components)


@pytest.mark.parametrize("row", FORMING, ids=lambda r: r.key)
def test_forms_from_components_that_exist_with_its_own_charge(row):
    charge = sum(BANK.components[key].charge * count for key, count in row.components)
    assert charge == getattr(row, "charge", 0)


@pytest.mark.parametrize("row", FORMING, ids=lambda r: r.key)
def test_holds_the_elements_its_formula_says(row):
    total: dict[str, float] = {}
    for key, count in row.components:
        for symbol, number in formula(BANK.components[key].formula).elements:
            total[symbol] = total.get(symbol, 0.0) + count * float(number)
    found = {symbol: n for symbol, n in total.items() if abs(n) > 1e-9}
    assert found == {symbol: float(n) for symbol, n in elements(row.key).items()}


@pytest.mark.parametrize("row", [*BANK.components.values(), *FORMING], ids=lambda r: r.key)
def test_every_value_has_a_source(row):
    names = ("formation", "heat_capacity", "volume", "log_k", "enthalpy", "cp")
    values = [getattr(row, name, None) for name in names]
    for datum in values:
        assert datum is None or datum.source in BANK.sources


@pytest.mark.parametrize("row", BANK.components.values(), ids=lambda r: r.key)
def test_components_lie_within_physical_limits(row):
    assert -2.5e6 < row.formation.value < 1e6
    if row.volume is not None:
        assert -60e-6 < row.volume.value < 250e-6


def test_formation_and_reaction_enthalpies_agree():
    """Heats of formation (NBS) and enthalpies of the K(T) (Goldberg, NIST) come from different
    compilations. They differ by no more than 2.1 kJ/mol, but for sulfite, whose NBS value is
    5.6 kJ/mol off those of Goldberg et al., and oxalic acid (3.3)."""
    formation = {k: c.formation.value for k, c in BANK.components.items()}
    for s in BANK.species.values():
        if s.formation is None or s.enthalpy is None:
            continue
        reaction = s.formation.value - sum(formation[k] * n for k, n in s.components)
        allowed = {"SO3-2": 6000.0, "C2O4-2": 3400.0}.get(s.components[0][0], 2100.0)
        assert abs(reaction - s.enthalpy.value) < allowed, s.key


@pytest.mark.parametrize(
    ("key", "pk"),
    [("OH-", 13.995), ("HSO4-", -1.987), ("NH3", 9.245), ("CH3COOH", -4.756), ("B(OH)4-", 9.237)],
)
def test_ionisation_constants(key, pk):
    """Goldberg, Kishore, Lennen, J. Phys. Chem. Ref. Data 31 (2002) 231."""
    assert BANK.species[key].log_k.value == pytest.approx(-pk, abs=0.002)


def test_carbon_dioxide_dissolves_as_much_as_it_should():
    """0.034 mol/(kg bar) at 25 °C (Sander 2015)."""
    gas, solute = BANK.gases["CO2(g)"], BANK.species["CO2"]
    assert 10 ** (solute.log_k.value - gas.log_k.value) == pytest.approx(0.034, rel=0.01)


def test_water_vapour_is_there_and_bisulfate_counts_as_its_ions():
    assert "H2O(g)" in BANK.gases
    assert dict(BANK.species["HSO4-"].bulk) == {"H+": 1.0, "SO4-2": 1.0}
