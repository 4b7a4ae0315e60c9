"""ln K(T) with a constant heat capacity of reaction: van 't Hoff with Kirchhoff's term."""

from __future__ import annotations

import math
from types import MappingProxyType

from numba.extending import register_jitable

SOURCE = "van 't Hoff equation integrated with constant reaction heat capacity (any textbook)"
VALID = MappingProxyType({"temperature": (263.15, 383.15)})

_R = 8.31446261815324
_T0 = 298.15


@register_jitable
def ln_k(k0: float, dh: float, dcp: float, temperature: float) -> float:
    """ln K; k0 its value at 298.15 K, dh in J/mol, dcp in J/(mol K), temperature in K."""
    enthalpic = -dh / _R * (1.0 / temperature - 1.0 / _T0)
    return k0 + enthalpic + dcp / _R * (math.log(temperature / _T0) + _T0 / temperature - 1.0)
