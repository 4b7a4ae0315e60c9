"""Specific volume a solute takes in water: Laliberté & Cooper 2004 with the constants of 2009."""

from __future__ import annotations

from collections.abc import Sequence
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

SOURCE = (
    "Laliberté M., Cooper W.E., J. Chem. Eng. Data 49 (2004) 1141-1151, eq. 6; constants of "
    "Laliberté M., J. Chem. Eng. Data 54 (2009) 1725-1760"
)
VALID = MappingProxyType({"temperature": (258.15, 413.15), "mass_fraction": (0.0, 1.0)})


def apparent_specific_volume(
    temperature: npt.ArrayLike, mass_fraction: npt.ArrayLike, constants: Sequence[float]
) -> npt.NDArray[np.float64]:
    """m3 per kg of solute; temperature in K, mass fraction of solute, constants c0 to c4.

    The paper gives the inverse, an apparent density, which passes through infinity where the
    solute takes no room; the volume does not. Each solute has its own range: see its table row.
    """
    c0, c1, c2, c3, c4 = constants
    t = np.asarray(temperature, dtype=np.float64) - 273.15
    w = np.asarray(mass_fraction, dtype=np.float64)
    return np.asarray((w + c2 + c3 * t) / ((c0 * w + c1) * np.exp(1e-6 * (t + c4) ** 2)))
