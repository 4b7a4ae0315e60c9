"""Gas held up in a bubbling liquid, from the superficial gas velocity.

Hughmark G. A., Holdup and mass transfer in bubble columns, Ind. Eng. Chem. Process Des. Dev.
6 (1967) 218-220: 1/holdup = 2 + (0.35/u) (density * tension / 72)^(1/3), with u in m/s,
density in g/cm3 and surface tension in dyn/cm (converted here from SI).
"""

from __future__ import annotations

from types import MappingProxyType

SOURCE = "hughmark-1967"
VALID = MappingProxyType(
    {
        "superficial_velocity": (0.004, 0.45),  # m/s
        "density": (780.0, 1700.0),  # kg/m3
        "surface_tension": (0.025, 0.076),  # N/m
    }
)


def holdup(
    superficial_velocity: float, density: float = 1000.0, surface_tension: float = 0.072
) -> float:
    """Fraction of the bubbling volume that is gas (0 to 0.5); 0 without gas flow.

    superficial_velocity in m/s, density in kg/m3, surface_tension in N/m. Below its range the
    law goes to zero in proportion to the velocity, which is the right limit.
    """
    if superficial_velocity <= 0.0:
        return 0.0
    group = (density / 1000.0) * (surface_tension * 1000.0) / 72.0
    return float(1.0 / (2.0 + 0.35 / superficial_velocity * group ** (1.0 / 3.0)))
