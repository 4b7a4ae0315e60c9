"""The laws the solver stands on, against printed values, other equations and their definitions."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from firstcrop.laws.bates_guggenheim_1960 import log10_gamma_chloride
from firstcrop.laws.debye_hueckel_slope import a_phi
from firstcrop.laws.dielectric_bradley_pitzer_1979 import relative_permittivity
from firstcrop.laws.electrostatic_mixing_harvie_1981 import mixing_integral
from firstcrop.laws.equilibrium_constant_temperature import ln_k


def moeller_1988(t: float) -> float:
    """A_phi of Møller, Geochim. Cosmochim. Acta 52 (1988) 821, eq. A1: an independent fit."""
    return (
        3.36901532e-1
        - 6.32100430e-4 * t
        + 9.14252359 / t
        - 1.35143986e-2 * math.log(t)
        + 2.26089488e-3 / (t - 263.0)
        + 1.92118597e-6 * t * t
        + 4.52586464e1 / (680.0 - t)
    )


def test_slope_at_25_degrees():
    """Archer & Wang 1990, Table 5: 0.391475 (kg/mol)^(1/2); two equations of state of water
    differ by 0.0002.
    """
    assert a_phi(298.15) == pytest.approx(0.391475, abs=2e-4)


@pytest.mark.parametrize("celsius", [0, 10, 25, 40, 50, 60, 80, 100])
def test_slope_against_another_fit(celsius):
    """Fits of the permittivity of water differ by 0.2 % in A_phi below 100 °C."""
    assert a_phi(celsius + 273.15) == pytest.approx(moeller_1988(celsius + 273.15), rel=2e-3)


@pytest.mark.parametrize(("celsius", "value"), [(0, 87.90), (25, 78.30), (50, 69.88), (100, 55.58)])
def test_permittivity_of_water(celsius, value):
    """Owen & al. 1961 as printed in the CRC Handbook; later measurements, which the
    equation follows, are 0.3 % off at the boiling point."""
    assert relative_permittivity(celsius + 273.15, 1e5) == pytest.approx(value, rel=4e-3)


@pytest.mark.parametrize("x", [0.01, 0.3, 0.999, 1.001, 5.0, 50.0])
def test_mixing_integral_is_the_integral(x):
    """J(x) = x/4 - 1 + (1/x) int y^2 (1 - exp(-(x/y) e^-y)) dy (Pitzer 1975, eq. 47).

    The Chebyshev sums are printed to about 1e-9.
    """
    integral = quad(
        lambda y: -np.expm1(-x / y * np.exp(-y)) * y * y, 0.0, 60.0, limit=400, epsabs=1e-13
    )[0]
    assert mixing_integral(x)[0] == pytest.approx(0.25 * x - 1.0 + integral / x, abs=2e-9)


@pytest.mark.parametrize("x", [0.02, 0.7, 2.0, 30.0])
def test_mixing_integral_slopes(x):
    step = 1e-4
    low, high = mixing_integral(x * math.exp(-step)), mixing_integral(x * math.exp(step))
    here = mixing_integral(x)
    assert here[1] == pytest.approx((high[0] - low[0]) / (2 * step), rel=1e-5)
    assert here[2] == pytest.approx((high[1] - low[1]) / (2 * step), rel=1e-4)


def test_chloride_convention():
    """-0.5108*sqrt(0.1)/(1+1.5*sqrt(0.1)) = -0.1095 with A = 0.5108 kg^(1/2) mol^(-1/2)
    (Buck & al., IUPAC 2002, section 3.1, 25 °C: A = 0.51082).
    """
    assert log10_gamma_chloride(0.1, 0.51082 * math.log(10) / 3) == pytest.approx(
        -0.10955, abs=1e-4
    )
    assert 3 * a_phi(298.15) / math.log(10) == pytest.approx(0.51082, rel=2e-3)


def test_constant_with_temperature():
    """d ln K / dT is the enthalpy of reaction over R T^2, which itself follows dCp."""
    step = 0.01
    for t in (270.0, 298.15, 350.0):
        slope = (ln_k(2.0, 3e4, 150.0, t + step) - ln_k(2.0, 3e4, 150.0, t - step)) / (2 * step)
        enthalpy = 3e4 + 150.0 * (t - 298.15)
        assert slope == pytest.approx(enthalpy / (8.314462618 * t * t), rel=1e-6)
    assert ln_k(2.0, 3e4, 150.0, 298.15) == pytest.approx(2.0)
