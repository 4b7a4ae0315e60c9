"""Pressure of water vapour over a hydrate and what it becomes on losing water."""

from __future__ import annotations

import math

SOURCE = (
    "van 't Hoff's law with constant heat, any textbook; pressure and heat at 25 °C from the free "
    "energies and heats of formation of the NBS Tables (1982)"
)
VALID = "both solids there; 0-120 °C about, the heat taken as constant"

_GAS_CONSTANT = 8.314462618  # J/(mol K), CODATA 2018
_T0 = 298.15  # K


def vapour_pressure_over(temperature: float, constants: tuple[float, float]) -> float:
    """Pa at K; constants: Pa at 298.15 K and J per mol of vapour."""
    at_25, heat = constants
    return at_25 * math.exp(-heat / _GAS_CONSTANT * (1.0 / temperature - 1.0 / _T0))


def temperature_of_vapour(pressure: float, constants: tuple[float, float]) -> float:
    """K at which the vapour has a pressure (Pa)."""
    at_25, heat = constants
    return 1.0 / (1.0 / _T0 - _GAS_CONSTANT / heat * math.log(pressure / at_25))
