"""What is in a bottle, by the engine: density and strength on any basis."""

from __future__ import annotations

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.problems import Problem
from firstcrop.quantity.read import read_strength
from firstcrop.shelf.mixture import density_of, mixture

BANK = load_bank()


@pytest.mark.parametrize(
    ("substance", "strength", "density"),
    [
        # CRC Handbook, 102nd ed., Concentrative properties of aqueous solutions, 20 °C
        ("sulfuric acid", "30 % w/w", 1219.1),
        ("sodium hydroxide", "20 % w/w", 1219.2),
        ("sodium chloride", "10 % w/w", 1070.7),
    ],
)
def test_density_by_strength(substance, strength, density):
    assert density_of(BANK, substance, read_strength(strength)) == pytest.approx(density, rel=2e-3)


def test_a_density_is_its_own_answer():
    assert density_of(BANK, "sulfuric acid", read_strength("density 1.28 g/mL")) == 1280.0


def test_strength_on_another_basis():
    made = mixture(BANK, ("sodium chloride", read_strength("1 mol/L")))
    fraction = made.fraction(read_strength("1 mol/L"))
    assert fraction * made.stock().density == pytest.approx(58.44, rel=1e-3)


def test_what_cannot_be_is_a_problem():
    found = density_of(BANK, "no such thing", None)
    assert isinstance(found, Problem)
