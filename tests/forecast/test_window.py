"""The window: where the wanted solid begins, where a rival joins."""

from __future__ import annotations

import numpy as np
import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.forecast.assemble import assemble
from firstcrop.forecast.window import find_window
from firstcrop.liquor.solve import equilibrate
from firstcrop.liquor.system import Floats, System

BANK = load_bank()


def _system(*components: str) -> System:
    return assemble(BANK, frozenset(components)).system


def _amounts(system: System, **moles: float) -> Floats:
    found = np.zeros(len(system.components))
    names = {"water": "H2O", "k": "K+", "na": "Na+", "no3": "NO3-", "cl": "Cl-", "so4": "SO4-2"}
    for name, value in moles.items():
        found[system.components.index(names[name])] = value
    return found


def test_pure_saltpetre_begins_where_its_curve_says() -> None:
    """60 g KNO3 in 100 g water is saturated near 38.5 °C (CRC: 45.6 g at 30, 62.9 g at 40 °C)."""
    system = _system("K+", "NO3-")
    moles = 600.0 / 101.1032
    window = find_window(system, _amounts(system, water=55.508, k=moles, no3=moles), "KNO3")
    assert window.high - 273.15 == pytest.approx(38.5, abs=0.6)
    assert window.low == pytest.approx(273.15)
    assert window.rivals == ()


def test_a_rival_bounds_the_window_from_below() -> None:
    """Saltpetre from nitrate of soda and potassium chloride: cooled far enough, salt joins."""
    system = _system("K+", "Na+", "NO3-", "Cl-")
    amounts = _amounts(system, water=55.508, k=6.0, na=6.0, no3=6.0, cl=6.0)
    window = find_window(system, amounts, "KNO3", step=7)
    assert window.step == 7
    assert window.wanted == "KNO3"
    rivals = dict(window.rivals)
    if not np.isnan(window.low):
        assert window.low < window.high
        state = equilibrate(system, amounts, 0.5 * (window.low + window.high))
        assert [k for k, n in zip(system.solids, state.solids, strict=True) if n > 1e-4] == ["KNO3"]
    for key, temperature in rivals.items():
        state = equilibrate(system, amounts, temperature - 0.1)
        if temperature > 273.3:
            assert state.solids[system.solids.index(key)] > 0.0


def test_a_retrograde_solid_has_a_floor() -> None:
    """Anhydrous sodium sulfate comes alone only above the change at 32.4 °C."""
    system = _system("Na+", "SO4-2")
    amounts = _amounts(system, water=55.508, na=8.0, so4=4.0)
    window = find_window(system, amounts, "Na2SO4")
    assert window.low - 273.15 == pytest.approx(32.4, abs=0.6)
    assert window.high == pytest.approx(373.15)
    assert dict(window.rivals)["Na2SO4·10H2O"] - 273.15 == pytest.approx(32.4, abs=0.6)


def test_no_window_when_it_never_crystallises() -> None:
    system = _system("K+", "NO3-")
    window = find_window(system, _amounts(system, water=55.508, k=0.5, no3=0.5), "KNO3")
    assert np.isnan(window.low)
    assert np.isnan(window.high)


def test_series_for_the_picture_match_the_temperatures() -> None:
    system = _system("K+", "NO3-")
    window = find_window(system, _amounts(system, water=55.508, k=6.0, no3=6.0), "KNO3")
    assert list(window.temperatures) == sorted(window.temperatures)
    series = dict(window.amounts)["KNO3"]
    assert len(series) == len(window.temperatures)
    assert series[0] == max(series)
