"""Gas given off at a steady rate in one well-mixed, aired room."""

from __future__ import annotations

import math

SOURCE = (
    "US EPA, Methods for Assessing Exposure to Chemical Substances, vol. 12, EPA 560/5-85-016 "
    "(1987), one-box mass balance V dC/dt = G - Q C; equations from memory"
)
VALID = "one room, air mixed at once; near the source the air holds several times as much"


def room_amount(
    amount_rate: float, duration: float, air_changes: float, amount: float = 0.0
) -> float:
    """mol in the room's air after `duration` s of `amount_rate` mol/s, when it held `amount` mol
    at first; `air_changes` in 1/s, 0 for a room without any."""
    if air_changes <= 0.0:
        return amount + amount_rate * duration
    left = math.exp(-air_changes * duration)
    return amount * left + amount_rate / air_changes * (1.0 - left)
