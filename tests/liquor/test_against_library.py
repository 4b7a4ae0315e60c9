"""The solver beside a general speciation library on the same species, constants and parameters.

Both evaluate the same Pitzer equations, so they should agree far better than either agrees with
nature. What differs: the library's Debye-Hückel slope at 25 °C (its own fit of the permittivity
of water: A_phi 0.39148 there and here to about 2e-5 relative), its molar mass of water (18.016),
and its convergence limit of 1e-8 relative in the mass balances.
"""

from __future__ import annotations

import numpy as np
import pytest

import sample_liquors as samples
import speciation_library as library
from firstcrop.liquor.solve import equilibrate

phreeqc = pytest.importorskip("phreeqc")

SOLIDS = tuple(library.PHASES)
PARTS = {  # formula the library reads -> components
    "NaCl": {"Na+": 1, "Cl-": 1},
    "KCl": {"K+": 1, "Cl-": 1},
    "HCl": {"H+": 1, "Cl-": 1},
    "CaCl2": {"Ca+2": 1, "Cl-": 2},
    "CuSO4": {"Cu+2": 1, "SO4-2": 1},
    "Na2SO4": {"Na+": 2, "SO4-2": 1},
    "K2SO4": {"K+": 2, "SO4-2": 1},
    "H2SO4": {"H+": 2, "SO4-2": 1},
    "KNit": {"K+": 1, "NO3-": 1},
    "NaOH": {"Na+": 1, "H2O": 1, "H+": -1},
    "NaAce": {"Na+": 1, "CH3COO-": 1},
    "HAce": {"H+": 1, "CH3COO-": 1},
    "Na2CO3": {"Na+": 2, "CO3-2": 1},
    "NaHCO3": {"Na+": 1, "H+": 1, "CO3-2": 1},
}
MIXTURES = (
    {"NaCl": 1.0},
    {"NaCl": 5.0, "HCl": 0.5},
    {"H2SO4": 2.0},
    {"NaOH": 0.4, "NaCl": 2.0, "Na2SO4": 0.3},
    {"NaAce": 0.3, "HAce": 0.2, "KCl": 1.0},
    {"Na2CO3": 0.2, "NaHCO3": 0.3, "K2SO4": 0.2},
    {"CaCl2": 0.5, "Na2SO4": 0.3, "HCl": 0.1},
    {"KNit": 4.0, "NaCl": 3.0},
    {"Na2SO4": 3.0, "H2SO4": 0.2},
    {"KCl": 5.0, "K2SO4": 1.0, "NaCl": 4.0, "CuSO4": 0.3, "KNit": 0.5},
)


def ours(mixture: dict[str, float]):
    system = samples.sample(
        "Na+", "K+", "Ca+2", "Cu+2", "SO4-2", "CO3-2", "NO3-", "CH3COO-", solids=SOLIDS
    )
    total = np.zeros(len(system.components))
    total[0] = 1.0 / 0.018015268
    for salt, moles in mixture.items():
        for component, count in PARTS[salt].items():
            total[system.components.index(component)] += count * moles
    return system, equilibrate(system, total, 298.15)


def theirs(mixture: dict[str, float]) -> dict[str, float]:
    engine = phreeqc.Phreeqc()
    assert engine.LoadDatabaseString(library.database()) == 0, engine.GetErrorString()
    assert engine.RunString(library.question(mixture, SOLIDS)) == 0, engine.GetErrorString()
    return {k: v[-1] for k, v in engine.GetSelectedOutput().items()}


@pytest.mark.parametrize("mixture", MIXTURES, ids=" + ".join)
def test_same_equilibrium(mixture: dict[str, float]) -> None:
    system, state = ours(mixture)
    other = theirs(mixture)
    assert state.ok
    assert state.water == pytest.approx(other["mass_H2O"], rel=2e-4)
    assert state.ln_a_water / np.log(10.0) == pytest.approx(other["la_H2O"], abs=2e-5)
    for key, name in library.NAMES.items():
        molality = state.molalities[system.species.index(key)]
        if molality > 1e-12:
            found = other[f"m_{name}(mol/kgw)"]
            assert molality == pytest.approx(found, rel=5e-4), key
            activity = np.log10(molality) + state.ln_gamma[system.species.index(key)] / np.log(10)
            assert activity == pytest.approx(other[f"la_{name}"], abs=3e-4), key
    for k, solid in enumerate(system.solids):
        found = other[library.phase_name(solid)]
        assert state.solids[k] == pytest.approx(found, rel=5e-4, abs=2e-5), solid
