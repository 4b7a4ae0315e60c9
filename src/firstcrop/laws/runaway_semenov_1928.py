"""How long a batch that heats itself takes to run away when nothing cools it."""

from __future__ import annotations

GAS_CONSTANT = 8.31446  # J/(mol K)
SOURCE = (
    "N. N. Semenov, Z. Phys. 48 (1928) 571; zero-order time to maximum rate under adiabatic "
    "conditions, TMR = C R T^2 / (q E), as in F. Stoessel, Thermal Safety of Chemical Processes "
    "(2008), ch. 2; from memory"
)
VALID = "a reaction that is not used up on the way: real ones take longer"


def time_to_maximum_rate(
    heat_rate: float, heat_capacity: float, temperature: float, activation: float
) -> float:
    """s; `heat_rate` in W now, `heat_capacity` in J/K of the whole batch, `activation` in J/mol."""
    return heat_capacity * GAS_CONSTANT * temperature**2 / (heat_rate * activation)
