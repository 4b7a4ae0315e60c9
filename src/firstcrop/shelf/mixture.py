"""A bottle's content as the engine sees it: chemistry, density, strength on any basis."""

from __future__ import annotations

from dataclasses import dataclass

from firstcrop.bank.bank import Bank
from firstcrop.forecast.chemistry import Chemistry
from firstcrop.forecast.context import Ground
from firstcrop.forecast.ground import lay_ground
from firstcrop.forecast.knobs import Knobs
from firstcrop.forecast.resolve import Resolved
from firstcrop.forecast.stock import Stock, make_stock, mass_fraction
from firstcrop.problems import Problem, Severity
from firstcrop.quantity.records import Basis, Strength
from firstcrop.sheet.records import Material, Preparation

NAME = "content"


@dataclass(frozen=True, slots=True, eq=False)
class Mixture:
    """A material with its chemistry; more materials may be laid beside it."""

    ground: Ground
    materials: tuple[Resolved, ...]

    @property
    def chem(self) -> Chemistry:
        """The chemistry they share."""
        return self.ground.chem

    def stock(self, index: int = 0) -> Stock | Problem:
        """One kilogram of a material at its written strength."""
        return make_stock(self.chem, self.materials[index], Knobs(), self.ground.hydrates)

    def fraction(self, strength: Strength, index: int = 0) -> float | Problem:
        """kg of substance in a kg of the material at a strength on any basis."""
        return mass_fraction(self.chem, self.materials[index], strength.basis, strength.value)


def mixture(bank: Bank, *contents: tuple[str, Strength | None]) -> Mixture | Problem:
    """Substances (keys of the bank) with their strengths, water always among them."""
    rows = tuple(
        Material(f"{NAME} {n}", substance, strength)
        for n, (substance, strength) in enumerate(contents)
    )
    ground, problems = lay_ground(Preparation("", materials=(*rows, Material("water", "water"))),
                                  bank)  # fmt: skip
    found = [ground.materials.get(row.name) for row in rows]
    for row, material in zip(rows, found, strict=True):
        if material is None:
            errors = [p for p in problems if p.severity is Severity.ERROR]
            wrong = errors[0] if errors else Problem("shelf.substance", f"what is {row.substance}?")
            return Problem(wrong.code, wrong.message.replace(row.name, row.substance), (),
                           wrong.hint)  # fmt: skip
    return Mixture(ground, tuple(m for m in found if m is not None))


def density_of(bank: Bank, substance: str, strength: Strength | None) -> float | Problem:
    """kg/m3 of the content at 20 °C."""
    if strength is not None and strength.basis is Basis.DENSITY:
        return strength.value
    made = mixture(bank, (substance, strength))
    stock = made if isinstance(made, Problem) else made.stock()
    return stock if isinstance(stock, Problem) else stock.density
