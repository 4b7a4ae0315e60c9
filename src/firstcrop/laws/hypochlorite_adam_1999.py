"""How fast hypochlorite decomposes in an alkaline solution free of metals.

Adam L. C., Gordon G., Hypochlorite ion decomposition: effects of temperature, ionic strength and
chloride ion, Inorg. Chem. 38 (1999) 1299-1304 (its abstract):
log10 k2 = 0.149 I + log10(2.083e10 T exp(-1.018e5/(R T)) exp(-56.5/R)) in M-1 s-1, for
-d[OCl-]/dt = k2 [OCl-]^2; chlorate and, 8.7 times slower, oxygen together. Here in SI.
"""

from __future__ import annotations

import math
from types import MappingProxyType

SOURCE = "adam-gordon-1999"
VALID = MappingProxyType(
    {
        "temperature": (288.15, 328.15),  # K
        "ionic_concentration": (1000.0, 6000.0),  # mol/m3
        "concentration": (700.0, 3000.0),  # mol/m3 of hypochlorite; pH 9 to 14
    }
)
GAS = 8.314  # J/(mol K)


def hypochlorite_rate(temperature: float, ionic_concentration: float) -> float:
    """m3/(mol s) of the second-order loss; temperature in K, ionic_concentration in mol/m3."""
    entropy, enthalpy = -56.5, 1.018e5
    bare = 2.083e10 * temperature * math.exp(entropy / GAS - enthalpy / (GAS * temperature))
    return float(bare * 10.0 ** (0.149 * ionic_concentration / 1000.0)) / 1000.0


def hypochlorite_left(
    concentration: float, time: float, temperature: float, ionic_concentration: float
) -> float:
    """Part of the hypochlorite left after `time` s, from `concentration` mol/m3 at the start. The
    ionic strength stays: each ion lost leaves another of one charge."""
    rate = hypochlorite_rate(temperature, ionic_concentration)
    return 1.0 / (1.0 + rate * concentration * time)
