"""Constant enthalpy: the temperature is found again, across kinks and jumps too."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firstcrop.liquor.solve import equilibrate, equilibrate_heat, heat_capacity_with_chemistry
from firstcrop.liquor.state import Outcome
from sample_liquors import amounts, sample

MIXED = sample(
    "Na+", "K+", "SO4-2", "NO3-", solids=("NaCl", "KNO3", "K2SO4", "Na2SO4", "Na2SO4·10H2O")
)


@settings(max_examples=25, deadline=None)
@given(st.tuples(*[st.floats(0.01, 4.0)] * 3), st.floats(270.0, 365.0), st.floats(270.0, 365.0))
def test_temperature_is_found_again(salts, temperature, start):
    sodium, potassium, sulfate = salts
    charge = sodium + potassium
    moles = amounts(
        MIXED,
        Na=sodium,
        K=potassium,
        NO3=0.4 * charge,
        SO4=0.06 * charge * sulfate,
        Cl=0.12 * charge,
    )  # what charge is left is lye
    there = equilibrate(MIXED, moles, temperature)
    guess = equilibrate(MIXED, moles, start)
    back = equilibrate_heat(MIXED, moles, there.enthalpy, guess=guess)
    assert back.ok
    assert back.temperature == pytest.approx(temperature, abs=1e-4)
    assert back.enthalpy == pytest.approx(there.enthalpy, abs=1e-6 * there.heat_capacity)
    assert back.solids == pytest.approx(there.solids, abs=1e-5)


def test_order_of_mixing_does_not_matter():
    """Acid into lye, lye into acid, in one go or in ten: one end temperature."""
    system = sample("Na+", "SO4-2")
    acid, lye = amounts(system, 0.4, SO4=0.5), amounts(system, 0.6, Na=1.0)
    heat = sum(equilibrate(system, m, 293.15).enthalpy for m in (acid, lye))
    at_once = equilibrate_heat(system, acid + lye, heat)
    state = equilibrate(system, lye, 293.15)
    share = equilibrate(system, acid, 293.15).enthalpy / 10.0
    for n in range(1, 11):
        state = equilibrate_heat(
            system, lye + acid * (n / 10.0), state.enthalpy + share, guess=state
        )
    assert at_once.temperature > 293.15 + 5.0
    assert state.temperature == pytest.approx(at_once.temperature, abs=1e-5)


def test_inert_matter_takes_its_share():
    system = sample("Na+")
    moles = amounts(system, Na=1.0, Cl=1.0)
    cold = equilibrate(system, moles, 293.15)
    glass = 500.0  # J/K
    total = cold.enthalpy + glass * (293.15 - 298.15) + 5000.0
    warm = equilibrate_heat(system, moles, total, (0.0, glass))
    bare = equilibrate_heat(system, moles, cold.enthalpy + 5000.0)
    assert 293.15 < warm.temperature < bare.temperature
    assert warm.enthalpy + glass * (warm.temperature - 298.15) == pytest.approx(total, abs=1e-3)


def test_boiling_water_stays_at_its_boiling_point():
    system = sample()
    moles = amounts(system)
    hot = equilibrate(system, moles, 365.0).enthalpy
    states = [equilibrate_heat(system, moles, hot + q) for q in (2e5, 8e5, 2e6)]
    assert all(s.ok for s in states)
    temperatures = [s.temperature for s in states]
    assert temperatures == pytest.approx([temperatures[0]] * 3, abs=2e-6)
    for state, q in zip(states, (2e5, 8e5, 2e6), strict=True):
        assert state.enthalpy == pytest.approx(hot + q, abs=0.01)
        assert state.gas[0] + state.water / 0.018015268 == pytest.approx(moles[0], rel=1e-7)
    steam = np.diff([s.gas[0] for s in states])
    assert steam[1] / steam[0] == pytest.approx(2.0, rel=1e-5)


def test_a_hydrate_melts_at_one_temperature():
    """Glauber's salt with a little water: the lever between hydrate and anhydrous crystals."""
    system = sample("Na+", "SO4-2", solids=("Na2SO4", "Na2SO4·10H2O"))
    moles = amounts(system, Na=9.0, SO4=4.5)
    ends = [equilibrate(system, moles, t) for t in (285.0, 330.0)]
    assert [int(np.argmax(s.solids)) for s in ends] == [1, 0]
    plateau = [
        state
        for q in np.linspace(0.05, 0.95, 19)
        for state in [
            equilibrate_heat(system, moles, ends[0].enthalpy * (1 - q) + ends[1].enthalpy * q)
        ]
        if np.all(state.solids > 0.0)
    ]
    assert len(plateau) >= 2
    assert np.ptp([s.temperature for s in plateau]) < 1e-4
    assert all(s.residual < 1e-10 for s in plateau)


def test_salt_water_boils_hotter_as_it_boils_down():
    system = sample("Na+", solids=("NaCl",))
    moles = amounts(system, Na=2.0, Cl=2.0)
    hot = equilibrate(system, moles, 365.0).enthalpy
    states = [equilibrate_heat(system, moles, hot + q) for q in (3e5, 9e5, 1.9e6)]
    temperatures = [s.temperature for s in states]
    assert all(s.ok for s in states)
    assert temperatures == sorted(temperatures)
    assert temperatures[0] > equilibrate_heat(sample(), amounts(sample()), -15.3e6).temperature
    assert states[2].solids[0] > 0.0


def test_heat_capacity():
    """At frozen composition it is the slope without chemistry; with a salt that dissolves
    as it warms the slope with chemistry is larger.
    """
    system = sample("K+", "NO3-", solids=("KNO3",))
    clear = equilibrate(system, amounts(system, K=0.5, NO3=0.5), 310.0)
    assert heat_capacity_with_chemistry(system, clear) == pytest.approx(
        clear.heat_capacity, rel=1e-4
    )
    thick = equilibrate(system, amounts(system, K=8.0, NO3=8.0), 310.0)
    assert heat_capacity_with_chemistry(system, thick) > 1.2 * thick.heat_capacity


def test_beyond_the_data_is_said():
    system = sample("Na+")
    moles = amounts(system, Na=1.0, Cl=1.0)
    state = equilibrate_heat(system, moles, -1e9)
    assert state.outcome is Outcome.OUT_OF_RANGE
