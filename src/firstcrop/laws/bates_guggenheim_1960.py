"""The single-ion convention of the pH scale: Bates & Guggenheim 1960."""

from __future__ import annotations

import math
from types import MappingProxyType

from numba.extending import register_jitable

SOURCE = "Bates R.G., Guggenheim E.A., Pure Appl. Chem. 1 (1960) 163-168"
VALID = MappingProxyType({"ionic_strength": (0.0, 0.1)})


@register_jitable
def log10_gamma_chloride(ionic_strength: float, a_phi: float) -> float:
    """log10 of the activity coefficient of Cl-; mol/kg and (kg/mol)^(1/2).

    -A I^(1/2) / (1 + 1.5 I^(1/2)), A = 3 A_phi / ln 10.
    """
    root = math.sqrt(ionic_strength)
    return -3.0 * a_phi / math.log(10.0) * root / (1.0 + 1.5 * root)
