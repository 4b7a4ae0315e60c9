"""Ice against measured activities and freezing points."""

from __future__ import annotations

import math

import pytest

from firstcrop.laws.ice_feistel_2006 import ln_activity_beside_ice
from firstcrop.laws.vapour_pressure_wagner_1993 import vapour_pressure

# vapour pressure of ice over that of supercooled water: 259.90/286.51 Pa at -10 °C, 103.26/125.63
# Pa at -20 °C (Goff and Gratch, Smithsonian Meteorological Tables, 6th ed., 1951)
RATIO = ((-10.0, 259.90 / 286.51), (-20.0, 103.26 / 125.63))


@pytest.mark.parametrize(("celsius", "ratio"), RATIO)
def test_water_beside_ice(celsius: float, ratio: float) -> None:
    found = math.exp(ln_activity_beside_ice(celsius + 273.15))
    assert found == pytest.approx(ratio, rel=2e-3)


def test_pure_water_freezes_at_zero() -> None:
    assert ln_activity_beside_ice(273.15) == 0.0
    assert vapour_pressure(273.15) == pytest.approx(611.2, abs=0.3)
