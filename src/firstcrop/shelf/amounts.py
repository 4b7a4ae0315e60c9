"""An amount somebody wants from a bottle, in the bottle's own unit."""

from __future__ import annotations

from firstcrop.bank.bank import Bank
from firstcrop.problems import Problem
from firstcrop.quantity.read import read_quantity
from firstcrop.quantity.records import Kind, Quantity
from firstcrop.shelf.mixture import density_of
from firstcrop.shelf.records import MASS, Today

KINDS = (Kind.MASS, Kind.VOLUME, Kind.DROPS)


def amount_in(written: str, today: Today, bank: Bank) -> float | Problem:
    """`250 mL` or `300 g` in the unit of the bottle; a mass of a liquid counted by volume is
    turned with its density at 20 °C, and the other way round."""
    read = read_quantity(written)
    if isinstance(read, Problem):
        return Problem("shelf.amount", read.message, hint=read.hint)
    if read.kind not in KINDS:
        message = f"“{written}” is neither a mass nor a volume"
        return Problem("shelf.amount", message, hint="write: 250 mL, or 300 g")
    return turned(read, today, bank)


def turned(quantity: Quantity, today: Today, bank: Bank) -> float | Problem:
    """A mass or volume in the unit of the bottle."""
    bottle = today.level.bottle
    is_mass = quantity.kind is Kind.MASS
    if is_mass == (bottle.unit == MASS):
        return quantity.value
    density = density_of(bank, bottle.substance, today.strength or today.start)
    if isinstance(density, Problem):
        message = f"{bottle.name} is counted by {'mass' if bottle.unit == MASS else 'volume'}"
        hint = "and its density is not known: give the amount the same way"
        return Problem("shelf.amount", message, hint=hint)
    return quantity.value / density if is_mass else quantity.value * density
