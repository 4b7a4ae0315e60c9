"""Every row of the binary solutions: sourced, ordered, smooth, within what can be."""

from __future__ import annotations

import numpy as np
import pytest

from firstcrop.bank.bank import load_bank

BANK = load_bank()
SOLUTES = list(BANK.bulk.values())
KNOWN = {**BANK.components, **BANK.species}


@pytest.mark.parametrize("solute", SOLUTES, ids=lambda s: s.key)
def test_is_one_salt_or_one_neutral_of_the_bank(solute):
    charges = [KNOWN[name].charge for name, _ in solute.ions]
    assert charges == [0] or (len(charges) == 2 and charges[0] > 0 > charges[1])
    assert sum(KNOWN[name].charge * count for name, count in solute.ions) == 0


@pytest.mark.parametrize("solute", SOLUTES, ids=lambda s: s.key)
def test_laws_have_a_range_and_a_source(solute):
    for law in (solute.density, solute.heat_capacity):
        if law is not None:
            assert law.source in BANK.sources
            assert 0.0 <= law.mass_fraction[0] < law.mass_fraction[1] <= 1.0
            assert 240.0 < law.temperature[0] <= law.temperature[1] < 430.0


@pytest.mark.parametrize("solute", SOLUTES, ids=lambda s: s.key)
def test_points_lie_within_physical_limits(solute):
    for point in solute.density_points:
        assert 700.0 < point.value < 3000.0
        assert point.source in BANK.sources
    for point in solute.heat_capacity_points:
        assert 1000.0 < point.value < 4350.0


@pytest.mark.parametrize("solute", [s for s in SOLUTES if s.dilution], ids=lambda s: s.key)
def test_heats_of_dilution_have_no_jump(solute):
    """A slipped digit or sign shows as a point far off the line between its neighbours."""
    water = np.array([d.water for d in solute.dilution])
    heat = np.array([d.formation.value for d in solute.dilution])
    assert np.all(np.diff(water) > 0.0)
    x = 1.0 / (1.0 + np.sqrt(water))
    for i in range(1, len(x) - 1):
        part = (x[i] - x[i - 1]) / (x[i + 1] - x[i - 1])
        line = heat[i - 1] + part * (heat[i + 1] - heat[i - 1])
        assert abs(heat[i] - line) < 0.6 * abs(heat[i + 1] - heat[i - 1]) + 600.0, water[i]


@pytest.mark.parametrize("solute", [s for s in SOLUTES if s.dilution], ids=lambda s: s.key)
def test_dilute_solutions_approach_the_ions(solute):
    """Within 3 kJ per mole of ions, but where the ions associate or hydrolyse (named)."""
    wide = {
        "NaHSO4": 8e3,
        "KHSO4": 8e3,
        "Fe2(SO4)3": 20e3,
        "FeCl3": 5e3,
        "Na2CO3": 4e3,
        "K2CO3": 4e3,
        "Al2(SO4)3": 4e3,
    }
    last = solute.dilution[-1]
    if last.water < 100.0:
        return
    ions = sum(
        count * (KNOWN[name].formation.value if KNOWN[name].formation else np.nan)
        for name, count in solute.ions
    )
    if np.isnan(ions):
        return
    moles = sum(count for _, count in solute.ions)
    assert abs(last.formation.value - ions) < moles * wide.get(solute.key, 3e3)
