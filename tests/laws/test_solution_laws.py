"""Density, heat capacity and vapour pressure laws against the values their sources print."""

from __future__ import annotations

import numpy as np
import pytest

from firstcrop.laws.density_laliberte_2009 import apparent_specific_volume
from firstcrop.laws.heat_capacity_laliberte_2009 import apparent_specific_heat_capacity
from firstcrop.laws.vapour_pressure_wagner_1993 import vapour_pressure
from firstcrop.laws.water_heat_iapws_2011 import water_enthalpy, water_heat_capacity

SODIUM_CHLORIDE_DENSITY = (-0.00324112, 0.06363543, 1.01371399, 0.01459510, 3317.34855)
SODIUM_CHLORIDE_HEAT = (-0.06935597, -0.07821342, 3.84798479, -11.2762109, 8.73187699, 1.81245930)


def test_water_at_260_k():
    """IAPWS SR6-08, Table 7: h at 260 K, 0.1 MPa is -55.86223174 kJ/kg."""
    assert float(water_enthalpy(260.0)) == pytest.approx(-55862.23174, abs=0.01)


@pytest.mark.parametrize(
    ("temperature", "cp"), [(273.15, 4219.4), (298.15, 4181.4), (323.15, 4181.5), (373.15, 4215.6)]
)
def test_heat_capacity_of_water(temperature, cp):
    """Pátek et al. 2009, Table 6 (from memory, to 0.01 %)."""
    assert float(water_heat_capacity(temperature)) == pytest.approx(cp, rel=3e-4)


def test_enthalpy_is_the_integral_of_heat_capacity():
    t = np.linspace(263.15, 383.15, 2401)
    rise = np.trapezoid(water_heat_capacity(t), t)
    assert rise == pytest.approx(float(water_enthalpy(383.15) - water_enthalpy(263.15)), rel=1e-8)


@pytest.mark.parametrize(
    ("temperature", "pressure"),
    [(273.16, 611.657), (298.15, 3169.8), (373.1243, 101325.0)],
)
def test_vapour_pressure(temperature, pressure):
    """Wagner & Pruss 1993: the triple point, 25 °C, the normal boiling point (ITS-90)."""
    assert float(vapour_pressure(temperature)) == pytest.approx(pressure, rel=5e-5)


def test_volume_of_sodium_chloride():
    """Laliberté 2009, worked example: 0 °C, w = 0.0037838838, apparent density 3761.89 kg/m3."""
    found = apparent_specific_volume(273.15, 0.0037838838, SODIUM_CHLORIDE_DENSITY)
    assert 1.0 / float(found) == pytest.approx(3761.89, rel=1e-5)


def test_heat_capacity_of_sodium_chloride():
    """Laliberté 2009, worked example: 1.5 °C, w = 0.00398447, -2930.735 J/(kg K)."""
    found = apparent_specific_heat_capacity(274.65, 0.00398447, SODIUM_CHLORIDE_HEAT)
    assert float(found) == pytest.approx(-2930.735, rel=1e-4)
