"""An account as frozen records, SI throughout; every number with its working and its band."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from firstcrop.forecast.records import Number
from firstcrop.problems import Problem

END = math.inf  # seconds into a step: its end


class Dryness(StrEnum):
    """How a crop was when it was weighed."""

    WET = "wet"  # as filtered
    DRY = "dry"  # to constant mass, or as the writer calls dry
    UNSAID = ""


@dataclass(frozen=True, slots=True)
class Weighing:
    """A crop on the balance."""

    crop: int
    mass: float  # kg
    band: float = 0.0  # kg, 90 % half-width
    dryness: Dryness = Dryness.UNSAID
    text: str = ""  # as written


@dataclass(frozen=True, slots=True)
class DryingLoss:
    """A portion of a crop heated to constant mass: what tells how much water it held."""

    crop: int
    before: float  # kg
    after: float  # kg
    residue: str  # formula of what is left, "CuSO4"
    band: float = 0.0  # kg, 90 % half-width of one weighing


@dataclass(frozen=True, slots=True)
class Purity:
    """What an assay or a melting point says of a crop: kg of target per kg of it."""

    crop: int
    fraction: float
    band: float  # 90 % half-width
    how: str


@dataclass(frozen=True, slots=True)
class Yield:
    """A yield and what it stands on. Crop 0 is all crops together."""

    crop: int
    basis: str
    fraction: Number
    mass: Number  # kg of target


class Known(StrEnum):
    """How a part of the balance is known."""

    WEIGHED = "weighed"
    FORECAST = "forecast"
    DIFFERENCE = "difference"


@dataclass(frozen=True, slots=True)
class Share:
    """A part of theory and where it is."""

    where: str
    mass: Number  # kg of target
    known: Known


@dataclass(frozen=True, slots=True)
class Account:
    """All that can honestly be said of a run."""

    product: str
    theory: Number | None
    limiting: str
    yields: tuple[Yield, ...] = ()
    shares: tuple[Share, ...] = ()  # they add up to theory
    verdicts: tuple[Problem, ...] = ()
    waters: tuple[tuple[int, Number], ...] = ()  # crop, mol of water a mol of residue
    atom_economy: Number | None = None
    mass_intensity: Number | None = None  # kg put in a kg of dry product
    cost: Number | None = None  # money a kg of dry product; its unit names the currency
    second_crop: str = ""


@dataclass(frozen=True, slots=True)
class Evidence:
    """One reading: what (temperature, pH, volume, mass, peak, crop), where, its 90 % half-width.

    `seconds` counts from the beginning of the step; `END` is its end. `crop` is for a crop, whose
    `dry` says whether it was weighed dry. SI.
    """

    what: str
    value: float
    band: float
    step: int = 0
    seconds: float = END
    crop: int = 0
    dry: bool = True
    label: str = ""


@dataclass(frozen=True, slots=True)
class Lesson:
    """An input before and after the readings, in its own unit; bounds hold 90 %."""

    key: str
    label: str
    unit: str
    before: tuple[float, float, float]  # value, low, high
    after: tuple[float, float, float]

    @property
    def narrowed(self) -> float:
        """The width that is left, as part of the width before."""
        return (self.after[2] - self.after[1]) / (self.before[2] - self.before[1])


@dataclass(frozen=True, slots=True)
class Surprise:
    """A reading farther off than its own error and the forecast's band allow, in bands of both."""

    evidence: Evidence
    forecast: float
    band: float  # 90 %, of forecast and reading together

    @property
    def size(self) -> float:
        """How many 90 % half-widths it is off; above 1 it is outside."""
        return (self.evidence.value - self.forecast) / self.band if self.band > 0.0 else math.inf


@dataclass(frozen=True, slots=True)
class Alarm:
    """A reading outside its band: what it could mean and what to do first."""

    surprise: Surprise
    means: str
    first: str
    obtained: str
