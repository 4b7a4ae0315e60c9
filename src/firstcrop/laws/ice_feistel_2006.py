"""Ice: the activity of water beside it, and the heat it takes to melt."""

from __future__ import annotations

import math

SOURCE = (
    "heat of fusion 6007 J/mol at 273.15 K and heat capacity of ice 2.097 kJ/(kg K): Feistel, "
    "Wagner, J. Phys. Chem. Ref. Data 35 (2006) 1021 (IAPWS R10-06); heat capacity difference "
    "38.1 J/(mol K) to liquid water; activity by van 't Hoff's law"
)
VALID = "243-273.15 K, 1 atm"

MELTING = 273.15  # K
HEAT_OF_FUSION = 6007.0  # J/mol
HEAT_CAPACITY = 2097.0  # J/(kg K)
_DIFFERENCE = 38.1  # J/(mol K), liquid less ice
_GAS_CONSTANT = 8.314462618


def ln_activity_beside_ice(temperature: float) -> float:
    """ln of the activity of water in a liquor that is in equilibrium with ice at K."""
    ratio = MELTING / temperature
    first = HEAT_OF_FUSION / (_GAS_CONSTANT * MELTING) * (1.0 - ratio)
    return first + _DIFFERENCE / _GAS_CONSTANT * (ratio - 1.0 - math.log(ratio))
