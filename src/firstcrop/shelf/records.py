"""Bottles, what was drawn from them and what assays said: plain records, SI, dates as ISO text."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from firstcrop.quantity.records import Strength

MASS, VOLUME = "kg", "m3"  # how the content of a bottle is counted
HALF: Final = 1.6449  # half-width of the central 90 % of a normal distribution, in its σ


@dataclass(frozen=True, slots=True)
class Bottle:
    """A bottle as it came. Dates may be empty: nobody knows. `edition` counts its edits."""

    name: str  # folded, as sheets name it
    product: str  # as sold
    substance: str  # key in the bank
    strength: str  # the label's claim as a sheet writes it; empty: the label gives none
    size: float  # in `unit`
    unit: str  # MASS or VOLUME
    lot: str = ""
    price: float | None = None  # of the whole bottle
    currency: str = ""
    bought: str = ""
    made: str = ""
    opened: str = ""
    stored_at: str = ""
    temperature: float | None = None  # K, of that place
    hazards: tuple[str, ...] = ()  # H codes
    notes: str = ""
    added: str = ""
    edition: int = 0
    id: int = 0


@dataclass(frozen=True, slots=True)
class Draw:
    """An amount taken out (negative: put back, or found in a stocktaking), in the bottle's unit."""

    key: str  # the same key sent twice counts once
    at: str
    who: str
    amount: float
    sheet: str = ""  # what it was for
    notes: str = ""


@dataclass(frozen=True, slots=True)
class Assay:
    """What an assay said: value and standard uncertainty in the SI unit of `basis`."""

    key: str
    taken_at: str
    who: str
    method: str
    value: float
    basis: str  # value of quantity.records.Basis
    standard_uncertainty: float
    budget: str = "[]"  # JSON
    readings: str = "[]"  # JSON
    notes: str = ""


@dataclass(frozen=True, slots=True)
class Level:
    """A bottle as it stands: what is left, how often it was opened, the latest assay."""

    bottle: Bottle
    left: float  # in the bottle's unit
    draws: int = 0  # since the latest assay, else since it came
    assay: Assay | None = None


@dataclass(frozen=True, slots=True)
class Ageing:
    """A factor on the strength at the start: low, value, high; NaN when nobody knows."""

    low: float
    value: float
    high: float
    how: str  # a sentence for people
    source: str = ""
    obtained: str = ""

    @property
    def known(self) -> bool:
        """Whether there is a basis for a number."""
        return math.isfinite(self.value)


@dataclass(frozen=True, slots=True)
class Today:
    """A bottle's strength today. `strength` None: nobody knows it, `why` says so. `titrate`: the
    spread is wide enough to spoil a batch, so measure before use."""

    level: Level
    start: Strength | None  # as assayed or claimed
    since: str  # date of that, empty when not known
    strength: Strength | None
    ageing: Ageing
    rests_on: str  # "titrated 2026-04-01" or "the label's claim"
    titrate: bool
    why: str = ""

    @property
    def note(self) -> str:
        """How the strength is known, in a clause."""
        return "; ".join(part for part in (self.rests_on, self.ageing.how, self.why) if part)


@dataclass(frozen=True, slots=True)
class Recipe:
    """A stock solution from one bottle and water, at 20 °C. Masses in kg, volumes in m3."""

    bottle: str
    substance: str
    strength: Strength  # as asked
    fraction: float  # kg/kg of the substance in the solution
    spread: float  # relative 90 % half-width that the bottle's strength gives it
    mass: float  # of the solution
    volume: float
    feed: float  # of the bottle's content
    feed_volume: float
    liquid: bool  # whether the bottle holds a liquid
    water: float  # kg
    water_volume: float
    contraction: float  # m3 by which the mixture is smaller than its parts
    peak: float  # K that mixing at once, from 20 °C and without loss of heat, comes to
    heat: float  # J to take away to be at 20 °C again; negative: to put in
    ice: float  # kg of ice in place of water that would take it; NaN: none is needed, or too little
    densities: tuple[tuple[float, float], ...]  # (K, kg/m3) to check it by
    slope: float  # kg/kg of strength to a kg/m3 of density
    crystals: tuple[tuple[str, float], ...] = ()  # what stays undissolved at 20 °C, kg
    substance_held: str = ""  # what the bottle holds, when it is another hydrate
    by_mass: bool = False  # asked for by mass, not by volume
    cloudy: float = 0.0  # kg of insoluble matter from the bottle
    steps: tuple[str, ...] = ()  # what to do, in order
    sheet: str = ""  # the same as a sheet to forecast and run


@dataclass(frozen=True, slots=True)
class CostLine:
    """What a run takes of a material, and what that costs; `price` None: not known, `why` says."""

    material: str
    bottle: str
    amount: float  # in `unit`
    unit: str
    price: float | None
    currency: str
    batches: float  # how many such runs the bottle still holds
    why: str = ""


@dataclass(frozen=True, slots=True)
class Cost:
    """The cost of a run, and what the shelf still allows."""

    lines: tuple[CostLine, ...]
    totals: tuple[tuple[str, float], ...]  # by currency
    product: float  # kg of dry product, NaN when the sheet gives none
    batches: float  # whole runs the bottles hold; infinite when none is named
    limits: str  # the bottle that ends first
    buy: tuple[tuple[str, float, str], ...]  # (bottle, amount that lacks, unit) for the runs wanted
    runs: int  # the runs wanted


@dataclass(frozen=True, slots=True)
class Advice:
    """What the spread of a bottle's strength does to a run."""

    material: str
    bottle: str
    effect: str  # "crop 1: -8 % to +6 %"
    part: float  # the largest relative move
    titrate: bool
