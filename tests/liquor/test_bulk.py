"""Volume and enthalpy of a mixture: binary limits exact, additive, a function of state."""

from __future__ import annotations

import numpy as np
import pytest

from firstcrop.liquor.curves import read, weights
from firstcrop.liquor.pack import pack
from firstcrop.liquor.solve import equilibrate
from sample_liquors import amounts, sample


def interpolated(grid: np.ndarray, table: np.ndarray, x: float) -> tuple[float, float]:
    """Value and slope by the kernels' own (here uncompiled) interpolation."""
    value, slope = np.empty(4), np.empty(4)
    from firstcrop.liquor import curves

    tangent = curves._tangent
    try:
        curves._tangent = tangent.py_func
        first = weights.py_func(grid, x, value, slope)
    finally:
        curves._tangent = tangent
    return read.py_func(table, first, value), read.py_func(table, first, slope)


@pytest.mark.parametrize("size", [2, 3, 4, 9])
def test_interpolation_keeps_what_it_should(size):
    grid = np.sort(np.random.default_rng(size).uniform(0, 1, size))
    degree = min(size - 1, 2)
    table = np.polynomial.polynomial.polyval(grid, [1.0, -2.0, 3.0][: degree + 1])
    for k, x in enumerate(grid):
        assert interpolated(grid, table, x)[0] == pytest.approx(table[k], abs=1e-12)
    for x in np.linspace(grid[0], grid[-1], 7):
        value, slope = interpolated(grid, table, x)
        exact = np.polynomial.Polynomial([1.0, -2.0, 3.0][: degree + 1])
        assert value == pytest.approx(exact(x), abs=1e-10)
        assert slope == pytest.approx(exact.deriv()(x), abs=1e-8)


def test_interpolation_outside_follows_the_tangent():
    grid = np.linspace(0.0, 1.0, 6)
    value, slope = interpolated(grid, grid**2, 1.5)
    assert value == pytest.approx(1.0 + 0.5 * 2.0)
    assert slope == pytest.approx(2.0)


def test_one_salt_reads_its_own_table():
    """V = n_w v_w + N phi_v(u), H = n_w h_w + sum n h0 + N phi_h(u): Young's rule is exact for
    a single salt.
    """
    system = sample("Na+")
    m = 2.0
    state = equilibrate(system, amounts(system, Na=m, Cl=m), 298.15)
    root = np.sqrt(m)
    u = root / (root + 4.0)
    c, a = system.bulk.index("Na+"), system.bulk.index("Cl-")
    cations = int(np.sum(system.bulk_charge > 0))
    j = int(np.argmin(np.abs(system.t_grid - 298.15)))
    assert system.t_grid[j] == pytest.approx(298.15)
    phi_v, phi_h = (
        interpolated(system.u_grid, t[c, a - cations, :, j], u)[0]
        for t in (system.pair_v, system.pair_h)
    )
    water = 1.0 / 0.018015268
    assert state.volume == pytest.approx(water * system.water_v[j] + m * phi_v, rel=1e-7)
    ions = m * (system.bulk_h0[c] + system.bulk_h0[a])
    expected = water * system.water_h[j] + ions + m * phi_h
    assert state.enthalpy == pytest.approx(expected, rel=1e-8)


def test_hydrogensulfate_counts_as_its_parts():
    """Speciation between hydrogensulfate and sulfate moves no bulk property by itself: sulfuric
    acid reads the table of H+ with SO4-2 at its stoichiometric strength.
    """
    system = sample("SO4-2")
    m = 1.0
    state = equilibrate(system, amounts(system, SO4=m), 298.15)
    assert state.molalities[system.species.index("HSO4-")] > 0.5
    h, s = system.bulk.index("H+"), system.bulk.index("SO4-2")
    cations = int(np.sum(system.bulk_charge > 0))
    root = np.sqrt(3.0 * m)
    j = int(np.argmin(np.abs(system.t_grid - 298.15)))
    row = system.pair_v[h, s - cations, :, j]
    phi = interpolated(system.u_grid, row, root / (root + 4.0))[0]
    water = state.volume - 2.0 * m * phi
    assert water == pytest.approx(system.water_v[j] / 0.018015268, rel=1e-5)


def test_solids_and_mass():
    system = sample("Na+", solids=("NaCl",))
    moles = amounts(system, Na=9.0, Cl=9.0)
    state = equilibrate(system, moles, 298.15)
    assert state.solid_volume == pytest.approx(state.solids[0] * system.solid_volume[0])
    assert state.mass == pytest.approx(np.dot(moles, system.component_mass))


def test_enthalpy_is_a_function_of_state():
    """Reached cold, warm, or from another temperature: the same number."""
    system = sample("Na+", "K+", "SO4-2", solids=("Na2SO4·10H2O", "K2SO4"))
    moles = amounts(system, Na=3.0, K=1.0, SO4=2.0)
    ways = [equilibrate(system, moles, 283.15)]
    for start in (278.15, 300.0, 360.0):
        ways.append(equilibrate(system, moles, 283.15, guess=equilibrate(system, moles, start)))
    assert [w.enthalpy for w in ways] == pytest.approx([ways[0].enthalpy] * 4, rel=1e-11)


def test_packing_happens_once():
    system = sample("Na+")
    assert pack(system) is pack(system)
