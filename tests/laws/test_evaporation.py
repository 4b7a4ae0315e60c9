"""Evaporation against the usual figures for warm open water."""

from __future__ import annotations

import pytest

from firstcrop.laws.evaporation_carrier_1918 import evaporation_flux
from firstcrop.laws.vapour_pressure_wagner_1993 import vapour_pressure


def test_a_pool_as_the_handbook_reckons() -> None:
    """ASHRAE's short form w = 4e-5 A (p_w - p_a), kPa, for Y of 2400 kJ/kg and V of 0.1 m/s, is
    4e-5 against (0.089 + 0.0078)/2400; from memory."""
    over, air = float(vapour_pressure(300.15)), 1500.0
    still = evaporation_flux(300.15, (over, air))
    assert still == pytest.approx(4e-5 * (over - air) * 1e-3 * 0.089 / 0.0968, rel=0.03)


def test_nothing_condenses() -> None:
    assert evaporation_flux(280.0, (900.0, 2000.0)) == 0.0
