"""Relative permittivity of liquid water: Bradley & Pitzer 1979."""

from __future__ import annotations

import math
from types import MappingProxyType

from numba.extending import register_jitable

SOURCE = "Bradley D.J., Pitzer K.S., J. Phys. Chem. 83 (1979) 1599-1603, eq. 1-4 and Table I"
VALID = MappingProxyType({"temperature": (273.15, 623.15), "pressure": (1e5, 1e8)})


@register_jitable
def relative_permittivity(temperature: float, pressure: float) -> float:
    """Dimensionless; temperature in K, pressure in Pa (the paper: bar)."""
    bar = pressure * 1e-5
    at_1000_bar = 342.79 * math.exp(-5.0866e-3 * temperature + 9.4690e-7 * temperature**2)
    c = -2.0525 + 3115.9 / (temperature - 182.89)
    b = -8032.5 + 4.2142e6 / temperature + 2.1417 * temperature
    return at_1000_bar + c * math.log((b + bar) / (b + 1000.0))
