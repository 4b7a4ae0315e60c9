"""What a sheet calls its materials, as substances with a rough strength: enough to see a hazard.

Where a strength cannot be told it is taken as the strongest it can be; a hazard is then shown
that may not be there, and marked unverified.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from firstcrop.bank.feedstocks import strength_of
from firstcrop.bank.lookup import Named, feedstock_named, plain_name, substance_named
from firstcrop.bank.records import Feedstock, Substance
from firstcrop.cautions.groups import GUESSED, formula_groups, guessed_groups
from firstcrop.problems import Place, Problem
from firstcrop.quantity.records import Basis, Kind, Quantity, Strength
from firstcrop.sheet.records import Basket, Preparation

UNKNOWN = math.nan
WATER_DENSITY = 1000.0  # kg/m3, good enough to tell strong from weak
WATERS = ("water", "ice")


@dataclass(frozen=True, slots=True)
class Stuff:
    """A material. `fraction` is kg/kg of the substance in it, NaN when nobody knows; `rest` is
    True when the remainder is water."""

    name: str
    substance: Substance | None
    fraction: float = 1.0
    rest: bool = False
    density: float = WATER_DENSITY
    declared: bool = True  # stands in the materials table
    place: Place = field(default=Place(0), compare=False)

    @property
    def key(self) -> str:
        """The substance's key, '' when the bank does not know it."""
        return self.substance.key if self.substance else ""

    @property
    def guessed(self) -> bool:
        """The bank does not know it; what is taken for granted is told by its name."""
        return self.substance is not None and not self.substance.molar_mass

    @property
    def strongest(self) -> float:
        """The fraction, 1.0 when it is not known."""
        return 1.0 if math.isnan(self.fraction) else self.fraction


def materials(prep: Preparation, bank: Named) -> Mapping[str, Stuff]:
    """Every name the sheet uses for matter (as `plain_name` makes it) and what it is."""
    found: dict[str, Stuff] = {}
    for material in prep.materials:
        words = material.substance or material.name
        stuff = _stuff(material.name, words, material.strength, bank, material.place)
        found[plain_name(material.name)] = stuff
    vessels = {plain_name(vessel.name) for vessel in prep.vessels}
    for word, place in _words(prep):
        name = plain_name(word)
        if name and name not in found and name not in vessels and name not in set(Basket):
            found[name] = _loose(word, bank, place)
    return found


def _words(prep: Preparation) -> Iterator[tuple[str, Place]]:
    for step in prep.steps:
        for clause in step.clauses:
            yield clause.what, clause.at_field("what")
            yield clause.solvent, clause.at_field("solvent")


def _loose(word: str, bank: Named, place: Place) -> Stuff:
    """A word of a step that is not in the table: water in its many forms, or a bare name."""
    if plain_name(word).split(" ")[-1] == "water":
        word = "water"
    stuff = _stuff(word, word, None, bank, place)
    return Stuff(
        stuff.name, stuff.substance, stuff.fraction, stuff.rest, stuff.density, False, place
    )


def _stuff(name: str, words: str, strength: Strength | None, bank: Named, place: Place) -> Stuff:
    product, substance = identify(bank, words)
    if substance is None:
        return Stuff(name, _guess(name, words), UNKNOWN, place=place)
    if strength is None and product is not None:
        read = strength_of(product)
        strength = None if isinstance(read, Problem) else read
    return _with_strength(name, substance, strength, place)


def identify(bank: Named, words: str) -> tuple[Feedstock | None, Substance | None]:
    """The product and the substance a name stands for, None for what the bank does not know."""
    return _identify(bank, words)


@lru_cache(maxsize=1024)
def _identify(bank: Named, words: str) -> tuple[Feedstock | None, Substance | None]:
    product = feedstock_named(bank, words)
    substance = substance_named(bank, words)
    if substance is None and product is not None:
        substance = substance_named(bank, product.substance)
    return product, substance


@lru_cache(maxsize=512)
def _guess(name: str, words: str) -> Substance | None:
    """A stand-in for a material the bank does not know, when a formula or the words of its name
    say what kind of thing it is."""
    for text in (words, name):
        if formula_groups(text):
            return Substance(key=text, names=(), formula=text, phase="solid")
    both = name if words in ("", name) else f"{words} ({name})"
    if not guessed_groups(both):
        return None
    return Substance(key=both, names=(), formula="", phase=GUESSED)


def stuff_of(name: str, words: str, strength: Strength | None, bank: Named) -> Stuff:
    """Something by what it is called, its substance or product, and a strength if one is known."""
    return _stuff(name, words, strength, bank, Place(0))


def _with_strength(
    name: str, substance: Substance, strength: Strength | None, place: Place
) -> Stuff:
    pure = substance.density.value if substance.density else WATER_DENSITY
    if strength is None:
        gas = substance.phase == "gas"
        return Stuff(name, substance, UNKNOWN if gas else 1.0, gas, pure, place=place)
    fraction = fraction_of(strength, substance)
    watery = strength.rest.strip().lower() in ("", "water") and bool(substance.components)
    share = 1.0 if math.isnan(fraction) else fraction
    density = (
        WATER_DENSITY + (pure - WATER_DENSITY) * share
        if substance.phase == "liquid"
        else (pure if not watery or share > 0.8 else WATER_DENSITY)
    )
    if strength.basis is Basis.DENSITY:
        density = strength.value
    return Stuff(name, substance, fraction, watery and share < 1.0, density, place=place)


def fraction_of(strength: Strength, substance: Substance) -> float:
    """kg/kg, the upper end of the written band; volumes are turned with the density of water,
    which for a heavier solution gives too much, never too little. NaN when it cannot be told."""
    pure = substance.density.value if substance.density else WATER_DENSITY
    top = strength.value + strength.band
    mass = substance.molar_mass
    match strength.basis:
        case Basis.WW:
            return min(top, 1.0)
        case Basis.WV | Basis.MASS_CONCENTRATION:
            return min(top / WATER_DENSITY, 1.0)
        case Basis.VV:
            return min(top * pure / (top * pure + (1.0 - min(top, 1.0)) * WATER_DENSITY), 1.0)
        case Basis.MOLARITY | Basis.NORMALITY:
            return min(top * mass / WATER_DENSITY, 1.0)
        case Basis.MOLALITY:
            return top * mass / (1.0 + top * mass)
        case _:
            return UNKNOWN


def mass_of(amount: object, stuff: Stuff) -> float:
    """kg of the material in a written amount; NaN when it is left open or relative."""
    if not isinstance(amount, Quantity):
        return UNKNOWN
    match amount.kind:
        case Kind.MASS:
            return amount.value
        case Kind.VOLUME | Kind.DROPS:
            return amount.value * stuff.density
        case Kind.AMOUNT:
            if stuff.substance is None:
                return UNKNOWN
            return amount.value * stuff.substance.molar_mass / max(stuff.strongest, 1e-3)
        case _:
            return UNKNOWN
