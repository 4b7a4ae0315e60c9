"""What a review of a sheet says: plain frozen records."""

from __future__ import annotations

from dataclasses import dataclass

from firstcrop.forecast.records import Caution


@dataclass(frozen=True, slots=True)
class HazardLine:
    """A hazard statement and why it applies."""

    code: str
    text: str
    kind: str  # class and category
    why: str


@dataclass(frozen=True, slots=True)
class Label:
    """What stands on a bottle, a beaker or a bag. `brief` are the precautions a small label has
    room for, at most six; `gaps` what was not told. No hazards and no gaps: looked at, and not
    classified."""

    name: str
    kind: str  # bottle, liquor, crop
    step: int  # 0 for a bottle
    ingredients: tuple[tuple[str, float], ...]  # name, kg/kg
    signal: str  # Danger, Warning or ''
    pictograms: tuple[str, ...]  # GHS02 ...
    hazards: tuple[HazardLine, ...]
    precautions: tuple[tuple[str, str], ...]  # code, text
    brief: tuple[tuple[str, str], ...]
    gaps: tuple[str, ...] = ()
    unverified: bool = True

    @property
    def codes(self) -> tuple[str, ...]:
        """The H and EUH codes alone."""
        return tuple(line.code for line in self.hazards)


@dataclass(frozen=True, slots=True)
class AirCase:
    """A gas of one step in the room: ppm when all air mixes and near the source; the lowest
    short-term limit and what is immediately dangerous, ppm, NaN where there is none; the part of
    the lower flammable limit reached near the source, NaN for what does not burn."""

    step: int
    gas: str
    name: str
    amount: float  # mol given off in the step
    room_ppm: float
    near_ppm: float
    short: float
    danger: float
    limits: str
    part_of_lfl: float

    @property
    def grade(self) -> float:
        """How many times the short-term limit the air near the source holds; 0 without one."""
        return self.near_ppm / self.short if self.short > 0.0 else 0.0


@dataclass(frozen=True, slots=True)
class HeatCase:
    """The worst moment of a step if cooling, or stirring, fails. Temperatures in K, `waiting` in
    J of `waiting_amount` mol of reaction, times in s, NaN where not known."""

    step: int
    temperature: float
    waiting: float
    waiting_amount: float
    rise: float  # K, adiabatic, of what is waiting
    failure_peak: float
    limit: float  # the sheet's own, or boiling
    time_to_limit: float
    time_to_maximum: float
    stirring_rise: float  # K, of the whole addition at once
    stirring_peak: float
    severity: str  # low, medium, high
    criticality: str
    unknown: bool = False  # a reaction is waiting whose heat is not known


@dataclass(frozen=True, slots=True)
class Advice:
    """What to do with something that is left."""

    where: str
    words: str
    source: str
    unverified: bool


@dataclass(frozen=True, slots=True)
class Care:
    """What to wear in a step, and what to do first when something happens."""

    step: int
    wear: tuple[str, ...]
    first: tuple[str, ...]
    unverified: bool


@dataclass(frozen=True, slots=True)
class Review:
    """A safety review of one sheet. It supports judgement and promises nothing."""

    cautions: tuple[Caution, ...] = ()
    labels: tuple[Label, ...] = ()
    heat: tuple[HeatCase, ...] = ()
    air: tuple[AirCase, ...] = ()
    room: str = ""  # the room the air was computed for, in words
    after: tuple[Advice, ...] = ()
    care: tuple[Care, ...] = ()
    not_assessed: tuple[str, ...] = ()
    refused: str = ""
