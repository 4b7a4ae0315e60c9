"""Van Laar's equation against the azeotrope of ethanol with water."""

from __future__ import annotations

import math

import pytest

from firstcrop.laws.activity_van_laar_1910 import ln_activity
from firstcrop.laws.vapour_pressure_wagner_1993 import vapour_pressure


def test_the_azeotrope_of_ethanol_and_water() -> None:
    """Boils at 78.15 °C and 1 atm with 0.8943 of ethanol (Horsley, Azeotropic Data III, Advances in
    Chemistry 116 (1973)): there each liquid's share of the vapour is its share of the liquid, so
    water's activity coefficient is 101.325 kPa over its own vapour pressure."""
    x = 1.0 - 0.8943
    found = math.exp(ln_activity(x, (0.9227, 1.6798))) / x
    assert found == pytest.approx(101325.0 / vapour_pressure(351.30), rel=0.05)


def test_pure_liquids_and_none() -> None:
    assert ln_activity(1.0, (1.0, 2.0)) == 0.0
    assert ln_activity(0.0, (1.0, 2.0)) == -math.inf
    assert ln_activity(1e-9, (1.0, 2.0)) == pytest.approx(math.log(1e-9) + 1.0, abs=1e-6)
