"""The Debye-Hückel slope of the osmotic coefficient, from theory and water's properties."""

from __future__ import annotations

import math
from types import MappingProxyType

from numba.extending import register_jitable

from firstcrop.laws.dielectric_bradley_pitzer_1979 import relative_permittivity
from firstcrop.laws.water_density_kell_1975 import water_density

SOURCE = (
    "Pitzer K.S., Activity Coefficients in Electrolyte Solutions, 2nd ed., CRC Press 1991, ch. 3, "
    "eq. 9; permittivity of Bradley & Pitzer 1979, density of Kell 1975; constants CODATA 2018"
)
VALID = MappingProxyType({"temperature": (268.15, 383.15)})


@register_jitable
def a_phi(temperature: float) -> float:
    """A_phi in (kg/mol)^(1/2); temperature in K, at 1 bar.

    A_phi = (1/3) (2 pi N_A rho)^(1/2) (e^2 / (4 pi eps0 eps k T))^(3/2).
    """
    permittivity = relative_permittivity(temperature, 1e5) * 8.8541878128e-12
    bjerrum = 1.602176634e-19**2 / (4.0 * math.pi * permittivity * 1.380649e-23 * temperature)
    crowd = math.sqrt(2.0 * math.pi * 6.02214076e23 * water_density(temperature))
    return crowd * bjerrum**1.5 / 3.0
