"""Water that leaves an open surface below the boil, into still air."""

from __future__ import annotations

SOURCE = (
    "Carrier's equation as the ASHRAE Handbook, HVAC Applications (1999), ch. 4, gives it for "
    "pools: w = A (p_w - p_a)(0.089 + 0.0782 V)/Y, kPa, kJ/kg, kg/s; from memory"
)
VALID = "large surfaces, V = 0 m/s; half of it and less over quiet water"


def evaporation_flux(temperature: float, vapour_pressures: tuple[float, float]) -> float:
    """kg/(m2 s) from a liquid at K; vapour pressures (Pa) over the liquid and in the air. None
    condenses: not below zero."""
    over, air = vapour_pressures
    latent = 2501.0 - 2.38 * (temperature - 273.15)  # kJ/kg
    return max(over - air, 0.0) * 1e-3 * 0.089 / latent
