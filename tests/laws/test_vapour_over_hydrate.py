"""Vapour over hydrates against measured pressures."""

from __future__ import annotations

import pytest

from firstcrop.bank.dehydration import load_dehydration
from firstcrop.laws.vapour_over_hydrate_nbs_1982 import (
    temperature_of_vapour,
    vapour_pressure_over,
)

MMHG = 133.322
# mmHg, from memory: Collins, Menzies, J. Phys. Chem. 40 (1936) 379 (copper sulfate); International
# Critical Tables VII (1930) 224 (the others)
MEASURED = (
    ("CuSO4·5H2O", 25.0, 7.80, 0.03),
    ("CuSO4·5H2O", 50.0, 45.4, 0.06),
    ("CuSO4·3H2O", 25.0, 5.6, 0.10),
    ("Na2SO4·10H2O", 25.0, 19.2, 0.03),
    ("Na2HPO4·12H2O", 25.0, 19.1, 0.06),
    ("ZnSO4·7H2O", 25.0, 14.7, 0.08),
)


@pytest.mark.parametrize(("solid", "celsius", "pressure", "within"), MEASURED)
def test_measured_pressures(solid: str, celsius: float, pressure: float, within: float) -> None:
    constants = load_dehydration()[solid].vapour
    assert constants is not None
    found = vapour_pressure_over(celsius + 273.15, constants)
    assert found == pytest.approx(pressure * MMHG, rel=within)


def test_the_temperature_of_a_pressure_is_its_inverse() -> None:
    constants = (1000.0, 55e3)
    at = temperature_of_vapour(101325.0, constants)
    assert vapour_pressure_over(at, constants) == pytest.approx(101325.0)
