"""A titration forecast: the curve, its equivalence points, the indicators, what to take."""

from __future__ import annotations

from dataclasses import dataclass

from firstcrop.problems import Problem


@dataclass(frozen=True, slots=True)
class Equivalence:
    """An equivalence point: volume m3, the value of the curve there, and how sharp it is.

    `jump`: change of the curve from 0.5 % before to 0.5 % after it. `drop`: change one drop
    (0.05 mL) makes there.
    """

    volume: float
    value: float
    jump: float
    drop: float
    words: str


@dataclass(frozen=True, slots=True)
class Shown:
    """What an indicator would say: volume error (relative) where it begins and ends to turn, as
    the titration goes, and at the middle of its interval."""

    name: str
    low: float
    high: float
    colours: tuple[str, str]  # before, after
    begins: float
    middle: float
    ends: float
    fits: bool


@dataclass(frozen=True, slots=True)
class SamplePlan:
    """What to take: sample in kg or m3, flask and portion in m3 (0: not made up)."""

    sample: float
    weighed: bool
    flask: float
    aliquot: float
    titre: tuple[float, float, float]  # m3: least, expected, most, for the spread of the strength
    burette: float  # m3
    ware: float  # relative standard uncertainty from ware alone
    amount: float  # mol of the substance in one titration
    words: tuple[str, ...]
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True)
class TitrationForecast:
    """The curve against volume of titrant. `scale` is pH, pAg, or pCa and the like with EDTA;
    empty where there is no curve, `why` then says why."""

    method: str
    substance: str
    titrant: str
    strength: float  # mol/m3 of the titrant
    scale: str
    volumes: tuple[float, ...]  # m3
    values: tuple[float, ...]
    equivalences: tuple[Equivalence, ...]
    counted: int  # index of the equivalence the method counts
    indicators: tuple[Shown, ...]
    plan: SamplePlan | None = None
    why: str = ""
    problems: tuple[Problem, ...] = ()
    estimates: tuple[str, ...] = ()
    end: str = ""  # how the end is seen, in the method's words
