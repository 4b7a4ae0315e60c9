"""Activity coefficients: printed values, thermodynamic identities, behaviour beyond the range."""

from __future__ import annotations

import numba
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firstcrop.liquor.pack import pack
from firstcrop.liquor.pitzer import WATER_MASS, activities, at_temperature, prepare
from sample_liquors import amounts, sample

IONS = ("Na+", "K+", "Ca+2", "Al+3", "SO4-2", "CO3-2")


@numba.njit
def probe(chem, molality, share, temperature):
    """ln a_w, ln gamma [S], d ln gamma / dm [S, S], d ln a_w / dm [S]."""
    now = prepare(chem)
    at_temperature(chem, now, temperature)
    for s in range(len(molality)):
        now.place[s] = s
        now.major[s] = s
    water = activities(chem, now, molality, len(molality), share)
    return water, now.lng.copy(), now.bend.copy(), now.water.copy()


def composition(seed: int, top: float, system) -> np.ndarray:
    chance = np.random.default_rng(seed)
    return 10.0 ** chance.uniform(-4, np.log10(top), len(system.species))


@pytest.mark.parametrize(
    ("salt", "molality", "gamma", "osmotic"),
    [
        ({"Na": 1, "Cl": 1}, 1.0, 0.657, 0.936),
        ({"Na": 1, "Cl": 1}, 6.0, 0.986, 1.271),
        ({"K": 1, "Cl": 1}, 2.0, 0.573, 0.912),
        ({"Ca": 1, "Cl": 2}, 1.0, 0.500, 1.046),
        ({"Na": 2, "SO4": 1}, 1.0, 0.201, 0.642),
    ],
)
def test_single_salts(salt, molality, gamma, osmotic):
    """Robinson & Stokes 1965, App. 8.9-8.10 (25 °C); the 1984 parameters hold to 2.5 %."""
    system = sample("Na+", "K+", "Ca+2", "SO4-2")
    chem, _ = pack(system)
    m = np.zeros(len(system.species))
    total = sum(salt.values())
    for key, count in salt.items():
        m[[s.rstrip("+-0123456789") == key or s == f"{key}-2" for s in system.species]] = (
            count * molality
        )
    water, lng, _, _ = probe(chem, m, 1.0, 298.15)
    mean = np.exp(np.dot(m, lng) / m.sum())
    assert m.sum() == pytest.approx(total * molality)
    assert mean == pytest.approx(gamma, rel=0.025)
    assert -water / (WATER_MASS * m.sum()) == pytest.approx(osmotic, rel=0.025)


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10**6), st.sampled_from([0.05, 1.0, 5.0, 60.0]), st.sampled_from([1.0, 0.4]))
def test_slopes_are_slopes(seed, top, share):
    """The curvature given to Newton's method is the derivative of what it is the curvature of,
    inside the model's range and beyond it.
    """
    system = sample(*IONS)
    chem, _ = pack(system)
    m = composition(seed, top, system)
    _, _, bend, water = probe(chem, m, share, 310.0)
    j = seed % len(m)
    step = 1e-5 * m[j]
    ends = []
    for sign in (-1, 1):
        moved = m.copy()
        moved[j] += sign * step
        ends.append(probe(chem, moved, share, 310.0))
    scale = 1.0 + np.max(np.abs(bend[j]))
    assert bend[j] == pytest.approx((ends[1][1] - ends[0][1]) / (2 * step), abs=2e-5 * scale)
    assert water[j] == pytest.approx((ends[1][0] - ends[0][0]) / (2 * step), abs=2e-5 * scale)


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10**6), st.sampled_from([0.01, 1.0, 4.0]))
def test_gibbs_duhem(seed, top):
    """d ln a_w / M_w + sum m d ln a = 0 along any direction (within the range of the model)."""
    system = sample(*IONS, limit=1e9)
    chem, _ = pack(system)
    m = composition(seed, top, system)
    _, _, bend, water = probe(chem, m, 1.0, 298.15)
    for j in range(len(m)):
        assert water[j] / WATER_MASS + 1.0 + np.dot(m, bend[j]) == pytest.approx(0.0, abs=1e-8)


def test_continuous_at_the_limit_of_the_range():
    system = sample("Na+", "K+", limit=6.0)
    chem, _ = pack(system)
    m = np.zeros(len(system.species))
    m[[system.species.index("Na+"), system.species.index("Cl-")]] = 6.0
    inside, outside = (probe(chem, f * m, 1.0, 298.15) for f in (1 - 1e-9, 1 + 1e-9))
    assert outside[0] == pytest.approx(inside[0], abs=1e-7)
    assert outside[1] == pytest.approx(inside[1], abs=1e-7)


def test_beyond_the_range_stays_bounded_and_is_said():
    """98 % sulfuric acid: 500 mol/kg; its true ln a_w is near -10."""
    from firstcrop.liquor.solve import equilibrate

    state = equilibrate(sample("SO4-2", limit=10.0), amounts(sample("SO4-2"), SO4=500.0), 298.15)
    assert state.ok
    assert state.frozen
    assert -20.0 < state.ln_a_water < -3.0


def test_trace_ions_have_coefficients():
    """The pH convention needs chloride's coefficient where there is no chloride."""
    from firstcrop.liquor.solve import equilibrate

    system = sample("Na+", "SO4-2")
    with_none = equilibrate(system, amounts(system, Na=1.0, SO4=0.5), 298.15)
    with_trace = equilibrate(system, amounts(system, Na=1.0 + 1e-9, SO4=0.5, Cl=1e-9), 298.15)
    assert with_none.ln_gamma == pytest.approx(with_trace.ln_gamma, abs=1e-6)
    assert with_none.ph == pytest.approx(with_trace.ph, abs=1e-4)
