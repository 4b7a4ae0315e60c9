"""Enthalpy and heat capacity of liquid water at 0.1 MPa: IAPWS SR6-08 (2011)."""

from __future__ import annotations

from types import MappingProxyType

import numpy as np
import numpy.typing as npt

SOURCE = (
    "IAPWS SR6-08 (2011), eq. 1 and 7, Tables 1 and 2; Pátek, Hrubý, Klomfar, Součková, Harvey, "
    "J. Phys. Chem. Ref. Data 38 (2009) 21-29"
)
VALID = MappingProxyType({"temperature": (253.15, 383.15)})

_R = 461.51805  # J/(kg K), as the release uses it
_TR = 10.0  # K
_A = (-1.661470539e5, 2.708781640e6, -1.557191544e8)
_N = (4, 5, 7)
_B = (-8.237426256e-1, 1.908956353, -2.017597384, 8.546361348e-1)
_M = (2, 3, 4, 5)
_C = (-2.452093414e2, 3.869269598e1, -8.983025854)


def water_enthalpy(temperature: npt.ArrayLike) -> npt.NDArray[np.float64]:
    """J/kg, zero near the triple point; temperature in K, any shape."""
    t = np.asarray(temperature, dtype=np.float64)
    tau, alpha, beta = t / _TR, _TR / (593.0 - t), _TR / (t - 232.0)
    log = np.log(tau)
    gibbs = _C[0] + _C[1] * tau + _C[2] * tau * log
    gibbs = gibbs + sum(a * alpha**n for a, n in zip(_A, _N, strict=True))
    gibbs = gibbs + sum(b * beta**m for b, m in zip(_B, _M, strict=True))
    rising = sum(n * a * alpha ** (n + 1) for a, n in zip(_A, _N, strict=True))
    falling = sum(m * b * beta ** (m + 1) for b, m in zip(_B, _M, strict=True))
    entropy = -(_C[1] + _C[2] * (1.0 + log) + rising - falling)
    return np.asarray(_R * (_TR * gibbs + t * entropy))


def water_heat_capacity(temperature: npt.ArrayLike) -> npt.NDArray[np.float64]:
    """J/(kg K), isobaric; temperature in K, any shape."""
    t = np.asarray(temperature, dtype=np.float64)
    tau, alpha, beta = t / _TR, _TR / (593.0 - t), _TR / (t - 232.0)
    warm = sum(n * (n + 1) * a * alpha ** (n + 2) for a, n in zip(_A, _N, strict=True))
    cold = sum(m * (m + 1) * b * beta ** (m + 2) for b, m in zip(_B, _M, strict=True))
    return np.asarray(-_R * (_C[2] + tau * (warm + cold)))
