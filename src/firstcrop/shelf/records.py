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
