"""Density of liquid water at one atmosphere: Kell 1975."""

from __future__ import annotations

from types import MappingProxyType

from numba.extending import register_jitable

SOURCE = "Kell G.S., J. Chem. Eng. Data 20 (1975) 97-105, eq. 16"
VALID = MappingProxyType({"temperature": (273.15, 423.15)})


@register_jitable
def water_density(temperature: float) -> float:
    """kg/m3; temperature in K."""
    t = temperature - 273.15
    top = 999.83952 + t * (
        16.945176
        + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12)))
    )
    return top / (1.0 + 16.879850e-3 * t)
