"""The rows every face shows: text ready to print, nothing left to decide but layout."""

from __future__ import annotations

from dataclasses import dataclass

from firstcrop.views.numbers import Shown


@dataclass(frozen=True, slots=True)
class LimitRow:
    """A limit the writer set: `verdict` says by how much it is kept or broken; `sure` when
    the whole band lies on that side."""

    text: str
    verdict: str
    kept: bool
    sure: bool = True


@dataclass(frozen=True, slots=True)
class StepRow:
    """One numbered step: what it is, and what it does to the vessel."""

    number: int
    line: int
    vessel: str
    text: str
    peak: Shown
    lowest: Shown | None  # only when the step dips below both its ends
    ends: Shown
    volume: str  # "64 of 400 mL"
    crowded: str  # a sentence when the vessel is or may be too small
    ph: Shown
    gas: str
    solids: tuple[str, ...]
    takes: str
    limits: tuple[LimitRow, ...] = ()
    heat: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BlankRow:
    """The answer to a `?`: what to write there, and what bounded it."""

    step: int
    line: int
    answer: str
    band: str
    bound: str


@dataclass(frozen=True, slots=True)
class CropRow:
    """A solid kept."""

    number: int
    step: int
    line: int
    name: str
    wet: Shown
    dry: Shown
    purity: Shown
    yield_: Shown | None  # None when it is not the target
    left: Shown
    holds: tuple[str, ...]  # "29.8 g KAl(SO4)2·12H2O"


@dataclass(frozen=True, slots=True)
class FateRow:
    """A place some of the target ended up in, as target, and its share of theory."""

    where: str
    mass: Shown
    share: Shown


@dataclass(frozen=True, slots=True)
class WindowRow:
    """Where only the wanted solid crystallises, in one sentence."""

    step: int
    wanted: str
    sentence: str


@dataclass(frozen=True, slots=True)
class ComparisonRow:
    """An observation beside the forecast."""

    line: int
    text: str
    forecast: Shown
    inside: bool
    verdict: str


@dataclass(frozen=True, slots=True)
class CautionRow:
    """A hazard seen in the forecast."""

    code: str
    severity: str
    where: str
    message: str
    why: str
    remedy: str
    source: str
    unverified: bool


@dataclass(frozen=True, slots=True)
class ProblemRow:
    """A mistake or gap, with the line it stands on and a caret under it."""

    code: str
    severity: str
    where: str
    message: str
    excerpt: tuple[str, ...]
    hint: str
    line: int


@dataclass(frozen=True, slots=True)
class BasisRow:
    """A data row the forecast rests on; `doubt` marks estimates and values from memory."""

    label: str
    value: str
    source: str
    obtained: str
    doubt: bool


@dataclass(frozen=True, slots=True)
class DoubtRow:
    """Data of one doubtful origin, named in a line: "solubility of NaOH (9 values), ..."."""

    obtained: str
    words: str


@dataclass(frozen=True, slots=True)
class Report:
    """A whole forecast as rows, in reading order."""

    title: str
    makes: str
    refused: str
    theory: Shown | None
    steps: tuple[StepRow, ...]
    blanks: tuple[BlankRow, ...]
    crops: tuple[CropRow, ...]
    windows: tuple[WindowRow, ...]
    comparisons: tuple[ComparisonRow, ...]
    cautions: tuple[CautionRow, ...]
    not_assessed: tuple[str, ...]
    problems: tuple[ProblemRow, ...]
    basis: tuple[BasisRow, ...]
    doubts: tuple[DoubtRow, ...]
    sources: tuple[str, ...]  # short names of the rest, most used first
    books: str
    fates: tuple[FateRow, ...] = ()  # where the target is at the end
