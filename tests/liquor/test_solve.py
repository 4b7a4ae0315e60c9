"""Equilibrium at fixed temperature: balances, uniqueness, phases, and what is said on failure."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firstcrop.liquor.solve import equilibrate
from firstcrop.liquor.state import Outcome
from sample_liquors import SOLIDS, amounts, sample

CATIONS = ("Na+", "K+", "NH4+", "Ca+2", "Cu+2", "Al+3")
ANIONS = ("NO3-", "SO4-2", "CO3-2", "CH3COO-")


def liquor(seed: int):
    """A random System (2 to 8 components beside water and acid) and random amounts in it."""
    chance = np.random.default_rng(seed)
    kinds = np.random.default_rng(seed % 8)  # eight Systems: each is laid out once
    names = [n for n in (*CATIONS, *ANIONS) if kinds.random() < 0.45][:7]
    keys = {"H2O", "H+", "Cl-", *names}
    solids = tuple(s for s in SOLIDS if keys.issuperset(SOLIDS[s][0]))
    system = sample(*names, solids=solids)
    size = len(system.components)
    moles = np.where(chance.random(size) < 0.3, 0.0, 10.0 ** chance.uniform(-9, 1.17, size))
    moles[0] = 55.5
    z = system.component_charge
    spare = float(np.dot(moles[2:], z[2:]))
    if spare > 0.0:  # chloride makes up for cations, acid for anions: a few are left alkaline
        moles[2] += spare * (1.0 + chance.choice([0.0, 1e-3, -1e-4, -0.05]))
    moles[1] = -np.dot(moles[2:], z[2:])
    moles[0] -= min(0.0, moles[1])
    scale = 10.0 ** chance.uniform(-3, 1)
    return system, moles * scale, chance.uniform(268.15, 383.15)


def sums(system, state) -> tuple[np.ndarray, np.ndarray]:
    """Component totals found in species, solids, gas and water, and the size of the terms."""
    n = state.water * state.molalities
    parts = [
        n[:, None] * system.nu,
        state.solids[:, None] * system.solid_nu,
        state.gas[:, None] * system.gas_nu,
    ]
    total = sum(p.sum(axis=0) for p in parts)
    size = sum(np.abs(p).sum(axis=0) for p in parts)
    total[0] += state.water / 0.018015268
    size[0] += state.water / 0.018015268
    return total, size


def test_sweep_converges_and_balances():
    """600 seeded liquors, 1e-9 to 15 mol/kg, -5 to 110 °C, under enough pressure not to boil."""
    failed = []
    for seed in range(600):
        system, moles, temperature = liquor(seed)
        state = equilibrate(system, moles, temperature, 3e7)
        if not state.ok:
            failed.append((seed, state.outcome.name))
            continue
        total, size = sums(system, state)
        assert np.all(np.abs(total - moles) <= 1e-10 * np.maximum(size, 1e-300)), seed
        charge = state.water * np.dot(state.molalities, system.z)
        grist = state.water * np.dot(state.molalities, np.abs(system.z))
        assert abs(charge) <= 1e-10 * max(grist, float(np.abs(moles).sum())), seed
        assert np.nanmax(state.saturation, initial=-1.0) < 1e-8, seed
        assert np.all(state.solids >= 0.0), seed
        assert state.saturation[state.solids > 0.0] == pytest.approx(0.0, abs=1e-8), seed
    assert len(failed) <= 2, failed


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10**6), st.integers(0, 10**6))
def test_any_guess_gives_the_same_answer(seed, other):
    system, moles, temperature = liquor(8 * seed)
    _, elsewhere, another = liquor(8 * other)  # the same System, another mixture
    cold = equilibrate(system, moles, temperature, 3e7)
    guess = equilibrate(system, elsewhere, another, 3e7)
    warm = equilibrate(system, moles, temperature, 3e7, guess)
    assert warm.outcome is cold.outcome
    if cold.ok:
        assert warm.molalities == pytest.approx(cold.molalities, rel=1e-6, abs=1e-14)
        assert warm.solids == pytest.approx(cold.solids, rel=1e-6, abs=1e-9 * moles[0])


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10**6), st.floats(1e-4, 1e4))
def test_twice_the_liquor_is_twice_everything(seed, factor):
    system, moles, temperature = liquor(seed)
    one, many = (equilibrate(system, f * moles, temperature) for f in (1.0, factor))
    if one.ok:
        assert many.molalities == pytest.approx(one.molalities, rel=1e-7, abs=1e-15)
        assert many.solids == pytest.approx(factor * one.solids, rel=1e-7, abs=1e-9 * many.water)
        assert many.enthalpy == pytest.approx(factor * one.enthalpy, rel=1e-9)
        assert many.volume == pytest.approx(factor * one.volume, rel=1e-7)


def test_pure_water():
    system = sample()
    state = equilibrate(system, amounts(system), 298.15)
    assert state.ph == pytest.approx(13.995 / 2, abs=1e-3)
    assert state.water == pytest.approx(1.0, rel=1e-8)
    assert state.ionic_strength == pytest.approx(1.006e-7, rel=1e-3)


def test_acetate_buffer():
    """0.1 mol/kg each: pH = pK + log10 gamma (Henderson), between 4.6 and 4.7 at I = 0.1."""
    system = sample("Na+", "CH3COO-")
    state = equilibrate(system, amounts(system, Na=0.1, CH3COO=0.2), 298.15)
    assert 4.6 < state.ph < 4.70


def test_common_ion():
    """Salt falls out of a saturated solution when acid of the same anion is added."""
    system = sample("Na+", solids=("NaCl",))
    crops = [
        equilibrate(system, amounts(system, Na=6.5, Cl=6.5 + a), 298.15).solids[0]
        for a in (0.0, 2.0, 5.0)
    ]
    assert 0.0 < crops[0] < crops[1] < crops[2]


def test_hydrates_change_places():
    """Sodium sulfate keeps its water when cold and loses it when hot, never both at once."""
    system = sample("Na+", "SO4-2", solids=("Na2SO4", "Na2SO4·10H2O"))
    seen = []
    for celsius in range(5, 46, 4):
        state = equilibrate(system, amounts(system, Na=8.0, SO4=4.0), 273.15 + celsius)
        assert state.ok
        assert np.count_nonzero(state.solids) == 1
        seen.append(int(np.argmax(state.solids)))
    assert seen == sorted(seen, reverse=True)
    assert seen[0] == 1
    assert seen[-1] == 0


def test_more_stable_of_two_like_solids_wins():
    """A polymorph with a lower solubility replaces the other, whatever the guess says."""
    from dataclasses import replace

    base = sample("K+", "NO3-", solids=("KNO3",))
    two = replace(
        base,
        solids=("KNO3", "KNO3 (other)"),
        solid_nu=np.repeat(base.solid_nu, 2, axis=0),
        solid_lnk=np.concatenate([base.solid_lnk, base.solid_lnk - 0.1]),
        solid_h=np.repeat(base.solid_h, 2),
        solid_cp=np.repeat(base.solid_cp, 2),
        solid_volume=np.repeat(base.solid_volume, 2),
        solid_mass=np.repeat(base.solid_mass, 2),
    )
    moles = amounts(two, K=6.0, NO3=6.0)
    state = equilibrate(two, moles, 298.15)
    assert state.solids[0] == 0.0
    assert state.solids[1] > 0.5
    assert state.saturation[0] == pytest.approx(-0.1, abs=1e-8)


def test_carbonate_and_acid_give_gas():
    system = sample("Na+", "CO3-2")
    state = equilibrate(system, amounts(system, Na=1.0, Cl=1.0, CO3=0.5), 298.15)
    gas = dict(zip(system.gases, state.gas, strict=True))
    assert 0.4 < gas["CO2(g)"] < 0.5
    assert state.fugacity.sum() == pytest.approx(1.01325, rel=1e-8)
    assert gas["H2O(g)"] / gas["CO2(g)"] == pytest.approx(0.0317 / 0.98, rel=0.05)


def test_no_gas_below_its_pressure():
    system = sample("Na+", "CO3-2")
    state = equilibrate(system, amounts(system, Na=0.1, CO3=0.06), 298.15)
    assert state.gas.sum() == 0.0
    assert state.fugacity.sum() < 1.01325


@pytest.mark.parametrize(
    ("names", "moles"),
    [
        (("SO4-2",), {"SO4": 500.0}),  # 98 % sulfuric acid
        (("K+",), {"K": 26.7}),  # 60 % potassium hydroxide
        (("NH4+", "NO3-"), {"NH4": 60.0, "NO3": 60.0}),  # ammonium nitrate past saturation
        (("K+", "Al+3", "SO4-2"), {"K": 3.0, "Al": 3.0, "SO4": 6.0}),  # alum in its own water
    ],
)
def test_strong_liquors(names, moles):
    keys = {"H2O", "H+", "Cl-", *names}
    system = sample(*names, solids=tuple(s for s in SOLIDS if keys.issuperset(SOLIDS[s][0])))
    total = amounts(system, **moles)
    total[0] -= min(0.0, total[1])
    state = equilibrate(system, total, 353.15)
    assert state.ok, state.outcome
    assert state.residual < 1e-10


def test_no_water_is_said():
    system = sample("Na+", solids=("NaCl",))
    dry = np.array([0.0, 0.0, 1.0, 1.0])
    assert equilibrate(system, dry, 298.15).outcome is Outcome.NO_WATER


def test_crystals_that_take_all_the_water_are_said():
    system = sample("Na+", "SO4-2", solids=("Na2SO4", "Na2SO4·10H2O"))
    short = amounts(system, water=0.09, Na=2.0, SO4=1.0)
    assert equilibrate(system, short, 298.15).outcome is Outcome.DRIED_UP


def test_boiling_away_is_said():
    system = sample()
    state = equilibrate(system, amounts(system), 400.0)
    assert state.outcome is Outcome.DRIED_UP
    assert state.gas[0] == pytest.approx(1.0 / 0.018015268, rel=1e-6)


def test_negative_amounts_and_stray_charge_are_said():
    system = sample("Na+")
    moles = amounts(system, Na=1.0, Cl=1.0)
    moles[3] = -1.0
    assert equilibrate(system, moles, 298.15).outcome is Outcome.NEGATIVE
    moles[3] = 1.1
    assert equilibrate(system, moles, 298.15).outcome is Outcome.UNBALANCED
    assert all(o.value.endswith(".") for o in Outcome)
