"""What the notebook keeps: a run, and its entries in the order they arrived."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Kind(StrEnum):
    """What an entry is about."""

    STEP_BEGUN = "step begun"
    STEP_DONE = "step done"
    TEMPERATURE = "temperature"
    PH = "pH"
    MASS = "mass"
    VOLUME = "volume"
    CROP = "crop"  # mass of a crop; `text` says wet or dry
    NOTE = "note"
    PHOTO = "photo"
    CORRECTION = "correction"  # stands in place of the entry it names; that one stays
    RUN_ENDED = "run ended"


@dataclass(frozen=True, slots=True)
class Reading:
    """What someone at the bench hands in. `key` is the device's own and makes it arrive once.

    `value` is in SI (K, kg, m3, 1) and None where there is nothing to measure; `text` is what was
    written. `at` is the bench's clock, ISO 8601 with its zone.
    """

    key: str
    kind: Kind
    at: str
    who: str
    step: int = 0
    value: float | None = None
    unit: str = ""
    text: str = ""
    corrects: int = 0  # the number of the entry this one corrects; 0: none
    reason: str = ""  # why it was corrected
    photo: str = ""  # SHA-256 of the picture


@dataclass(frozen=True, slots=True)
class Entry:
    """A reading as recorded: its number in the run, when it arrived, and its link in the chain."""

    number: int
    reading: Reading
    received: str
    previous: str  # digest of the entry before, of the run for the first
    digest: str


@dataclass(frozen=True, slots=True)
class Run:
    """A run: the sheet as it was when the run began, what was forecast, who began it and when."""

    id: str
    title: str
    sheet_name: str
    sheet: str
    forecast: str  # JSON, as the views write it
    begun: str
    who: str
    entries: int = 0
    head: str = ""  # digest of the last entry, of the run when there is none


@dataclass(frozen=True, slots=True)
class Receipt:
    """What the notebook acknowledges: the entry is on the disk."""

    key: str
    number: int
    digest: str


@dataclass(frozen=True, slots=True)
class Photo:
    """A picture, named by the SHA-256 of its bytes."""

    digest: str
    media_type: str
    content: bytes
