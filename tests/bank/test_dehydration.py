"""Every row of the table of hydrates that lose water."""

from __future__ import annotations

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.bank.dehydration import chain, load_dehydration
from firstcrop.bank.tables import read_sources
from firstcrop.chem.formula import Formula, parse_formula

BANK, SOURCES = load_bank(), read_sources()


def formula(text: str) -> Formula:
    read = parse_formula(text)
    assert isinstance(read, Formula)
    return read


@pytest.mark.parametrize("solid", load_dehydration())
def test_a_step_loses_the_water_it_says(solid: str) -> None:
    step = load_dehydration()[solid]
    before, after = formula(step.solid), formula(step.to)
    assert float(before.count("H") - after.count("H")) == pytest.approx(2.0 * step.water)
    assert float(before.count("O") - after.count("O")) == pytest.approx(step.water)
    assert step.pressure is not None or step.oven is not None
    for datum in (step.pressure, step.heat, step.formation, step.oven):
        assert datum is None or datum.source in SOURCES


@pytest.mark.parametrize("solid", load_dehydration())
def test_the_heat_is_that_of_the_heats_of_formation(solid: str) -> None:
    step, water = load_dehydration()[solid], -241.818e3
    known = BANK.solids.get(solid)
    if step.heat is None or step.formation is None or known is None or known.formation is None:
        pytest.skip("no heat of formation of both")
    heat = (step.formation.value + step.water * water - known.formation.value) / step.water
    assert heat == pytest.approx(step.heat.value, abs=1.5e3)  # the bank may use another source


def test_a_chain_runs_down_to_the_dry_salt() -> None:
    assert [s.to for s in chain("CuSO4·5H2O")] == ["CuSO4·3H2O", "CuSO4·H2O", "CuSO4"]
    assert chain("NaCl") == ()
