"""Activity of two liquids that mix, by van Laar's equation."""

from __future__ import annotations

import math

SOURCE = (
    "J. J. van Laar, Z. phys. Chem. 72 (1910) 723; in the form of Perry's Chemical Engineers' "
    "Handbook: ln gamma1 = A / (1 + A x1 / (B x2))^2"
)
VALID = "two liquids, no salt; constants of one temperature"


def ln_activity(mole_fraction: float, constants: tuple[float, float]) -> float:
    """ln of the activity of one of two liquids, with its own constant and that of the other."""
    if mole_fraction <= 0.0:
        return -math.inf
    rest = 1.0 - mole_fraction
    if rest <= 0.0:
        return 0.0
    own, other = constants
    return math.log(mole_fraction) + own / (1.0 + own * mole_fraction / (other * rest)) ** 2
