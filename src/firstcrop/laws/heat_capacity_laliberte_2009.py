"""Heat capacity a solute adds to water: Laliberté 2009."""

from __future__ import annotations

from collections.abc import Sequence
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

SOURCE = "Laliberté M., J. Chem. Eng. Data 54 (2009) 1725-1760, eq. 10 and 11"
VALID = MappingProxyType({"temperature": (258.15, 413.15), "mass_fraction": (0.0, 1.0)})


def apparent_specific_heat_capacity(
    temperature: npt.ArrayLike, mass_fraction: npt.ArrayLike, constants: Sequence[float]
) -> npt.NDArray[np.float64]:
    """J/(kg K) per kg of solute; temperature in K, mass fraction of solute, constants a1 to a6.

    Some constants make it unbounded at infinite dilution, and many solutes were fitted at one
    temperature or to dilute solutions only: each has its own range, see its table row.
    """
    a1, a2, a3, a4, a5, a6 = constants
    t = np.asarray(temperature, dtype=np.float64) - 273.15
    w = np.asarray(mass_fraction, dtype=np.float64)
    return np.asarray(1e3 * (a1 * np.exp(a2 * t + a3 * np.exp(0.01 * t) + a4 * w) + a5 * w**a6))
