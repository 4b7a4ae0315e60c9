"""The System put together from the bank: complete, consistent, exact in each binary solution."""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.forecast.assemble import assemble, assemble_without_solids, grid
from firstcrop.laws.density_laliberte_2009 import apparent_specific_volume
from firstcrop.laws.water_density_kell_1975 import water_density
from firstcrop.liquor.solve import equilibrate
from published.binary import binary, in_water, water_enthalpy

BANK = load_bank()
ALUM = frozenset({"K+", "Al+3", "SO4-2"})
COPPER = frozenset({"Cu+2", "NH4+", "SO4-2", "Na+", "CO3-2"})
BORAX = frozenset({"Na+", "B(OH)3", "NO3-"})


def system_of(components):
    return assemble_without_solids(BANK, components).system


@pytest.mark.parametrize("components", [ALUM, COPPER, BORAX])
def test_arrays_have_the_shapes_the_solver_asks_for(components):
    s = system_of(components)
    size, nodes, width = len(s.species), len(s.u_grid), len(s.t_grid)
    cations = int(np.sum(s.bulk_charge > 0))
    anions = int(np.sum(s.bulk_charge < 0))
    assert s.components[:2] == ("H2O", "H+")
    assert "Cl-" in s.components
    assert s.species[: len(s.components) - 1] == s.components[1:]
    assert s.gases[0] == "H2O(g)"
    assert s.beta0.shape == (3, size, size)
    assert s.pair_h.shape == s.pair_v.shape == (cations, anions, nodes, width)
    assert s.neutral_h.shape == (len(s.bulk) - cations - anions, nodes, width)
    assert s.bulk_of_species.shape == (size, len(s.bulk))
    for name in (f.name for f in fields(s)):
        value = getattr(s, name)
        if isinstance(value, np.ndarray):
            assert np.all(np.isfinite(value)), name


@pytest.mark.parametrize("components", [ALUM, COPPER, BORAX])
def test_formation_conserves_charge_and_mass(components):
    s = system_of(components)
    assert np.allclose(s.nu @ s.component_charge, s.z)
    assert np.allclose(s.bulk_of_species @ s.bulk_charge, s.z)
    mass = s.nu @ s.component_mass
    column = {name: mass[i] for i, name in enumerate(s.species)}
    counted = s.bulk_of_species @ np.array([column[name] for name in s.bulk])
    assert np.allclose(counted + s.bulk_water * s.component_mass[0], mass)


def test_electrolyte_parameters_are_symmetric_and_join_unlike_ions_only():
    s = system_of(COPPER)
    for p in (s.beta0, s.beta1, s.beta2, s.cphi, s.theta, s.lam):
        assert np.array_equal(p, np.swapaxes(p, 1, 2))
    like = np.sign(s.z)[:, None] * np.sign(s.z)[None, :] >= 0
    assert not np.any(s.beta0[:, like])


def test_only_what_the_components_can_form_is_there():
    s = system_of(frozenset({"K+", "NO3-"}))
    assert set(s.species) == {"H+", "K+", "Cl-", "NO3-", "OH-"}
    assert set(s.gases) == {"H2O(g)", "HCl(g)", "HNO3(g)"}


def test_an_unknown_component_is_a_problem():
    found = assemble_without_solids(BANK, frozenset({"Na+", "Xx+"}))
    assert [p.code for p in found.problems] == ["unknown-component"]


def test_solids_come_anchored_and_with_their_data():
    found = assemble(BANK, ALUM)
    n = found.system.solids.index("KAl(SO4)2·12H2O")
    room = int(np.argmin(abs(found.system.t_grid - 298.15)))
    assert np.isfinite(found.system.solid_lnk[n, room])
    assert found.system.solid_mass[n] == pytest.approx(0.47439, rel=1e-4)  # IUPAC weights
    assert found.rests_on["KAl(SO4)2·12H2O"]
    assert found.rests_on["K+ SO4-2"][0].source in BANK.sources


def test_what_was_estimated_is_said():
    lines = assemble_without_solids(BANK, frozenset({"K+", "Fe+3", "C2O4-2"})).estimates
    assert any("K+ with C2O4-2" in line and "stand in" in line for line in lines)
    assert any(line.startswith("Fe+3 with C2O4-2") for line in lines)


def test_the_same_components_give_the_same_system():
    assert assemble(BANK, ["K+", "NO3-"]) is assemble(BANK, ("NO3-", "K+"))


@pytest.mark.parametrize("key", ["NaOH", "H2SO4", "KNO3", "NH4NO3", "CO(NH2)2", "HCl", "CaCl2"])
def test_heat_of_dilution_is_that_of_the_table(key):
    """At every point of the series, to 0.02 kJ/mol and 0.02 % (the grid's nodes lie between)."""
    solute = next(s for s in BANK.bulk.values() if s.key == key)
    for row in solute.dilution:
        if row.water == 0.0 or row.water > 1e5:
            continue
        state = in_water(key, row.water, 298.15)
        found = state.enthalpy - row.water * water_enthalpy(key, 298.15)
        assert found == pytest.approx(row.formation.value, abs=60.0), row.water


@pytest.mark.parametrize("key", ["NaOH", "KNO3", "NaCl", "MgSO4", "CaCl2", "NH4NO3"])
@pytest.mark.parametrize("temperature", [293.15, 298.15, 321.0, 343.15])
def test_density_is_that_of_the_law(key, temperature):
    """To 0.02 %, inside the range of the law."""
    solute = next(s for s in BANK.bulk.values() if s.key == key)
    b = binary(key)
    for part in (0.1, 0.5, 0.95):
        w = part * solute.density.mass_fraction[1]
        t = float(np.clip(temperature, *solute.density.temperature))
        volume = (1.0 - w) / water_density(t)
        volume += w * float(apparent_specific_volume(t, w, solute.density.constants))
        amounts = b.mole * (w / b.mass)
        amounts[0] += (1.0 - w) / b.system.component_mass[0]
        state = equilibrate(b.system, amounts, t, 1e8)
        assert state.volume / state.mass == pytest.approx(volume, rel=2e-4), (w, t)


def test_nothing_runs_away_in_the_tables():
    """Apparent volumes below 0.3 L, heats below 120 kJ an equivalent, for all the bank has."""
    s = system_of(frozenset(BANK.components))
    assert np.abs(s.pair_v).max() < 3e-4
    assert np.abs(s.pair_h).max() < 1.2e5
    assert np.abs(s.neutral_v).max() < 3e-4
    assert np.abs(s.neutral_h).max() < 8e4


def test_the_grid_holds_the_standard_temperature():
    assert np.min(abs(grid().t - 298.15)) < 1e-9
    assert np.allclose(np.diff(grid().t), np.diff(grid().t)[0])
