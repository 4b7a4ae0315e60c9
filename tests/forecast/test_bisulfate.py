"""Heat of hydrogensulfate: sulfuric acid stays that of its tables, and its salts are of theirs."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.forecast.assemble import assemble_without_solids
from firstcrop.liquor.solve import equilibrate
from firstcrop.liquor.state import State
from firstcrop.liquor.system import System

BANK = load_bank()
WATER = 55.50837  # mol/kg


@cache
def system(*components: str) -> System:
    return assemble_without_solids(BANK, frozenset(components)).system


def solved(chosen: System, solute: dict[str, float], kelvin: float = 298.15) -> State:
    amounts = np.zeros(len(chosen.components))
    amounts[0] = WATER
    for key, count in solute.items():
        amounts[chosen.components.index(key)] += count
    return equilibrate(chosen, amounts, kelvin, 1e9)


def water_enthalpy(chosen: System, kelvin: float = 298.15) -> float:
    return WATER * float(np.interp(kelvin, chosen.t_grid, chosen.water_h))


@pytest.mark.parametrize("metal", ["Na+", "K+", "Al+3"])
@pytest.mark.parametrize("water", [2.0, 5.0, 10.0, 50.0, 200.0, 2000.0])
def test_sulfuric_acid_is_that_of_its_table_whatever_else_the_bank_could_dissolve(metal, water):
    """NBS Tables 1982, Table 14: ΔfH of H2SO4 in n H2O. Interpolation costs 0.1 kJ at most."""
    table = {d.water: d.formation.value for d in BANK.bulk["H+", "SO4-2"].dilution}
    chosen = system(metal, "SO4-2")
    m = WATER / water
    state = solved(chosen, {"H+": 2 * m, "SO4-2": m})
    assert (state.enthalpy - water_enthalpy(chosen)) / m == pytest.approx(table[water], abs=100.0)


@pytest.mark.parametrize("metal", ["Na+", "K+"])
def test_steps_of_dilution_of_a_hydrogensulfate_are_those_of_its_table(metal):
    """NBS Tables 1982, Tables 99 and 100: differences of ΔfH in n H2O."""
    chosen = system(metal, "SO4-2")
    rows = [d for d in BANK.bulk[metal, "HSO4-"].dilution if d.water >= 10.0]
    found = []
    for row in rows:
        m = WATER / row.water
        state = solved(chosen, {metal: m, "H+": m, "SO4-2": m})
        found.append((state.enthalpy - water_enthalpy(chosen)) / m)
    published = np.array([row.formation.value for row in rows])
    assert len(rows) >= 8
    assert np.diff(found) == pytest.approx(np.diff(published), abs=250.0)


def test_acid_put_into_much_sulfate_takes_up_the_heat_of_forming_hydrogensulfate():
    """A little acid in 1 mol/kg Na2SO4 turns mostly into HSO4-: +22.4 kJ/mol of it at infinite
    dilution (Goldberg et al. 2002), within what the medium does to three moles of ions."""
    chosen = system("Na+", "SO4-2")
    before = solved(chosen, {"Na+": 2.0, "SO4-2": 1.0})
    after = solved(chosen, {"Na+": 2.0, "SO4-2": 1.01, "H+": 0.02})
    row = chosen.species.index("HSO4-")
    formed = (after.molalities[row] - before.molalities[row]) * after.water / 0.01
    assert formed > 1.4
    acid = (after.enthalpy - before.enthalpy) / 0.01
    assert acid == pytest.approx(-909270.0 + formed * 22400.0, abs=3 * 3000.0)


def test_heat_capacity_is_the_slope_of_enthalpy_with_the_ions_held():
    """Frozen composition: the difference to the whole slope is what the shift of HSO4- makes."""
    chosen = system("Na+", "SO4-2")
    solute = {"Na+": 1.0, "H+": 1.0, "SO4-2": 1.0}
    low, mid, high = (solved(chosen, solute, 298.15 + d) for d in (-0.5, 0.0, 0.5))
    row = chosen.species.index("HSO4-")
    shift = (high.molalities[row] * high.water - low.molalities[row] * low.water) / 1.0
    forming = float(chosen.dh[row])
    whole = high.enthalpy - low.enthalpy
    assert whole - mid.heat_capacity == pytest.approx(shift * forming, rel=0.3)


def test_nothing_is_added_where_there_is_no_hydrogensulfate():
    chosen = system("Na+", "NO3-")
    assert chosen.bisulfate[0] == -1
