"""Vapour pressure of water: Wagner & Pruss 1993."""

from __future__ import annotations

from types import MappingProxyType

import numpy as np
import numpy.typing as npt

SOURCE = "Wagner W., Pruss A., J. Phys. Chem. Ref. Data 22 (1993) 783-787, eq. 1"
VALID = MappingProxyType({"temperature": (273.16, 647.096)})

_CRITICAL = (647.096, 22.064e6)  # K, Pa
_A = (-7.85951783, 1.84408259, -11.7866497, 22.6807411, -15.9618719, 1.80122502)
_N = (1.0, 1.5, 3.0, 3.5, 4.0, 7.5)


def vapour_pressure(temperature: npt.ArrayLike) -> npt.NDArray[np.float64]:
    """Pa; temperature in K, any shape."""
    t = np.asarray(temperature, dtype=np.float64)
    v = 1.0 - t / _CRITICAL[0]
    total = sum(a * v**n for a, n in zip(_A, _N, strict=True))
    return np.asarray(_CRITICAL[1] * np.exp(_CRITICAL[0] / t * total))
