"""Bottles for the tests; strengths and prices are invented."""

from __future__ import annotations

from firstcrop.bank.bank import load_bank
from firstcrop.shelf.entering import read_bottle
from firstcrop.shelf.records import Bottle, Draw

ACID = {
    "name": "Acid  1", "product": "battery acid", "strength": "37 ± 1 % w/w", "size": "1 L",
    "lot": "L2231", "price": "9.80 EUR", "bought": "2026-03-01", "made": "2026-01-15",
    "opened": "2026-03-04", "stored at": "cellar, left", "temperature": "15 °C",
    "hazards": "H314 H290", "notes": "“blue” cap; keep upright",
}  # fmt: skip
LYE = {"name": "lye", "product": "caustic soda beads", "size": "500 g", "price": "4,50 €"}


def bottle(cells: dict[str, str], **changes: str) -> Bottle:
    made = read_bottle({**cells, **changes}, load_bank())
    assert isinstance(made, Bottle), made
    return made


def take(key: str, amount: float, who: str = "Anna") -> Draw:
    return Draw(key, "", who, amount, "hardening alum")
