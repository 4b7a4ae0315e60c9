"""The bench at one moment of a run: vessels, cakes, books. Immutable; a step makes a new one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from firstcrop.forecast.chemistry import T0, Chemistry
from firstcrop.forecast.contents import Contents, Matter, Wall
from firstcrop.forecast.hull import Hull
from firstcrop.forecast.kinetics import Progress
from firstcrop.liquor.system import Floats
from firstcrop.problems import Place


@dataclass(frozen=True, slots=True, eq=False)
class Pot:
    """A vessel and what is in it."""

    name: str
    contents: Contents
    hull: Hull
    wall: Wall
    progress: tuple[Progress, ...] = ()
    covered: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Cake:
    """A drained solid: crystals [N] and the liquor they hold [C], never in equilibrium again
    until it goes back to a vessel. `kind` is crystals or residue."""

    name: str
    kind: str
    step: int
    place: Place
    solids: Floats
    liquor: Floats
    dry: Floats
    temperature: float
    enthalpy: float
    number: int = 0  # crop number, 0: not a crop
    dried: str = ""  # how; empty: still wet
    before: Floats | None = None  # [C] in the vessel before the filter
    filtered: Floats | None = None  # [N] crystals before any wash
    left: Floats | None = None  # [C] in the liquor that ran through
    wet_mass: float = 0.0  # kg as it was before drying


@dataclass(frozen=True, slots=True, eq=False)
class Books:
    """What crossed the border of the bench since the start."""

    wet_in: Floats
    dry_in: Floats
    heat_in: float  # J carried in by matter and by walls
    heat: float  # J exchanged, positive into the vessels
    gas: Floats  # mol let go [G]
    gas_heat: float
    wet_out: Floats
    dry_out: Floats
    heat_out: float
    reacted: Floats  # [R] mol of reaction
    taken: Mapping[str, float] = field(default_factory=dict)  # kg of each material


@dataclass(frozen=True, slots=True, eq=False)
class World:
    """Everything at hand. `here` names what a clause without a vessel works on."""

    time: float
    pots: Mapping[str, Pot]
    cakes: Mapping[str, Cake]
    books: Books
    here: str = ""
    liquor: str = ""  # pot of the last filtrate
    crystals: str = ""  # last cake of crystals
    residue: str = ""
    crops: int = 0
    last_cake: str = ""
    parted: str = ""  # pot from which a part was taken last: what "the rest" is the rest of

    def with_pot(self, pot: Pot) -> World:
        """This world with one vessel changed, and worked on."""
        return replace(self, pots={**self.pots, pot.name: pot}, here=pot.name)

    def with_cake(self, cake: Cake) -> World:
        """This world with one cake changed."""
        return replace(self, cakes={**self.cakes, cake.name: cake})

    def at(self, time: float) -> World:
        """This world at another time."""
        return replace(self, time=time)


def open_books(chem: Chemistry, reactions: int) -> Books:
    """Books with nothing written."""
    return Books(
        chem.nothing(),
        chem.nothing_dry(),
        0.0,
        0.0,
        np.zeros(len(chem.system.gases)),
        0.0,
        chem.nothing(),
        chem.nothing_dry(),
        0.0,
        np.zeros(reactions),
    )


def wall_heat(pot: Pot) -> float:
    """J in the vessel's wall, counted from 298.15 K."""
    return pot.wall.heat_capacity * (pot.contents.temperature - T0)


def brought_in(books: Books, matter: Matter) -> Books:
    """Books after matter has come in."""
    taken = books.taken
    if matter.stock:
        taken = {**taken, matter.stock: taken.get(matter.stock, 0.0) + matter.mass}
    return replace(
        books,
        taken=taken,
        wet_in=books.wet_in + matter.wet,
        dry_in=books.dry_in + matter.dry,
        heat_in=books.heat_in + matter.enthalpy,
    )


def thrown_out(books: Books, wet: Floats, dry: Floats, enthalpy: float) -> Books:
    """Books after matter has been discarded."""
    return replace(
        books,
        wet_out=books.wet_out + wet,
        dry_out=books.dry_out + dry,
        heat_out=books.heat_out + enthalpy,
    )
