"""From the notebook's entries to evidence and weighings."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from firstcrop.account.records import END, DryingLoss, Dryness, Evidence, Purity, Weighing
from firstcrop.account.tables import reading_errors
from firstcrop.notebook.records import Entry, Kind, Reading
from firstcrop.problems import Problem
from firstcrop.quantity.read import read_quantity

DRYING = re.compile(
    r"^\s*drying test(?: of)? crop\s*(\d+)\s*:\s*(.+?)\s*(?:→|->|to)\s*(.+?)\s+(?:of\s+)?(\S+)\s*$",
    re.IGNORECASE,
)
PURITY = re.compile(r"^\s*purity(?: of)? crop\s*(\d+)\s*:\s*([^,(]+?)\s*(?:[,(]\s*(.*?)\)?)?\s*$",
                    re.IGNORECASE)  # fmt: skip
CROP = re.compile(r"\bcrop\s*(\d+)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Pace:
    """When a step really began and ended, s since the epoch; None: not said."""

    begun: float | None = None
    done: float | None = None


def moment(at: str) -> float:
    """A bench time as seconds since the epoch."""
    return datetime.fromisoformat(at).timestamp()


def paces(entries: Iterable[Entry]) -> dict[int, Pace]:
    """When each step began and ended; the first beginning and the last end count."""
    found: dict[int, Pace] = {}
    for entry in entries:
        reading = entry.reading
        pace = found.get(reading.step, Pace())
        if reading.kind is Kind.STEP_BEGUN and pace.begun is None:
            found[reading.step] = Pace(moment(reading.at), pace.done)
        elif reading.kind is Kind.STEP_DONE:
            found[reading.step] = Pace(pace.begun, moment(reading.at))
    return found


def evidence(entries: Iterable[Entry], durations: Mapping[int, float]) -> tuple[Evidence, ...]:
    """Readings as evidence; `durations` are the forecast's, s by step. A step that took longer or
    shorter than forecast is compared at the same part of the way."""
    kept = tuple(entries)
    pace = paces(kept)
    found = []
    for entry in kept:
        reading = entry.reading
        if reading.value is None or reading.kind.value not in reading_errors():
            continue
        if reading.kind is Kind.CROP:
            found.append(_of_crop(reading))
            continue
        seconds = _seconds(reading, pace.get(reading.step), durations.get(reading.step, 0.0))
        value = float(reading.value)
        found.append(
            Evidence(
                reading.kind.value, value, band_of(reading), reading.step, seconds,
                label=f"entry {entry.number}",
            )
        )  # fmt: skip
    return tuple(found)


def _seconds(reading: Reading, pace: Pace | None, duration: float) -> float:
    """How far into the step, in the forecast's time; its end when nobody said when it began."""
    if pace is None or pace.begun is None:
        return END
    passed = max(moment(reading.at) - pace.begun, 0.0)
    if pace.done is None or pace.done <= pace.begun:
        return passed
    part = passed / (pace.done - pace.begun)
    return END if part >= 1.0 else part * duration


def _of_crop(reading: Reading) -> Evidence:
    number, dry = crop_of(reading)
    value = float(reading.value or 0.0)
    label = f"crop {number}"
    return Evidence("crop", value, band_of(reading), crop=number, dry=dry, label=label)


def crop_of(reading: Reading) -> tuple[int, bool]:
    """Which crop a weighing is of (1 when not said), and whether it was dry."""
    named = CROP.search(reading.text)
    return (int(named.group(1)) if named else 1), "wet" not in reading.text.lower()


def band_of(reading: Reading) -> float:
    """The 90 % half-width of a reading: its own ±, else what such readings are off by."""
    written = read_quantity(reading.text.partition("(")[0].strip() or "?")
    if not isinstance(written, Problem) and written.band > 0.0:
        return written.band
    return reading_errors()[reading.kind.value].band(float(reading.value or 0.0))


def weighings(entries: Iterable[Entry]) -> tuple[Weighing, ...]:
    """Every weighing of a crop, in order."""
    found = []
    for entry in entries:
        reading = entry.reading
        if reading.kind is Kind.CROP and reading.value is not None:
            number, dry = crop_of(reading)
            dryness = Dryness.DRY if dry else Dryness.WET
            found.append(
                Weighing(number, float(reading.value), band_of(reading), dryness, reading.text)
            )
    return tuple(found)


def _notes(entries: Iterable[Entry]) -> Iterator[str]:
    for entry in entries:
        if entry.reading.kind in (Kind.NOTE, Kind.CORRECTION):
            yield from entry.reading.text.splitlines()


def drying_losses(entries: Iterable[Entry]) -> tuple[DryingLoss, ...]:
    """Notes like “drying test crop 1: 0.5000 g to 0.2721 g of KAl(SO4)2”. A portion is taken to be
    weighed to half of its last digit each way, a rectangular error (JCGM 100:2008, 4.3.7)."""
    found = []
    for note in _notes(entries):
        match = DRYING.match(note)
        if match is None:
            continue
        before, after = (read_quantity(match.group(i)) for i in (2, 3))
        if isinstance(before, Problem) or isinstance(after, Problem):
            continue
        if before.kind.value == after.kind.value == "mass":
            band = max(before.band, after.band) or 0.45 * _last_digit(match.group(2), before.value)
            found.append(
                DryingLoss(int(match.group(1)), before.value, after.value, match.group(4), band)
            )
    return tuple(found)


def _last_digit(written: str, kilograms: float) -> float:
    """What one unit of the last digit of a written mass is, kg."""
    number = re.match(r"[\d.,]+", written.strip())
    digits = number.group().replace(",", ".") if number else ""
    value = float(digits) if digits.strip(".") and digits.count(".") < 2 else 0.0
    decimals = len(digits.partition(".")[2])
    return kilograms / value * 10.0**-decimals if value > 0.0 else 0.0


def purities(entries: Iterable[Entry]) -> tuple[Purity, ...]:
    """Notes like “purity crop 1: 98.2 ± 0.6 % (titration)”; the last of a crop counts."""
    found: dict[int, Purity] = {}
    for note in _notes(entries):
        match = PURITY.match(note)
        read = read_quantity(match.group(2)) if match else None
        if match is None or read is None or isinstance(read, Problem):
            continue
        if read.kind.value == "fraction" and 0.0 < read.value <= 1.0:
            crop = int(match.group(1))
            found[crop] = Purity(crop, read.value, read.band, match.group(3) or "as noted")
    return tuple(found.values())
