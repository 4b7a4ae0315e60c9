"""Runs of one sheet side by side: yields, peaks, and what was different."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass

from firstcrop.account.records import Account, Yield
from firstcrop.notebook.chain import in_force
from firstcrop.notebook.records import Entry, Kind, Run
from firstcrop.problems import Problem
from firstcrop.sheet.read import read_sheet

Kept = tuple[Run, tuple[Entry, ...], Account]


@dataclass(frozen=True, slots=True)
class Compared:
    """One run beside the others."""

    run: Run
    yields: tuple[Yield, ...]
    peaks: tuple[tuple[int, float], ...]  # step, hottest reading, K
    strengths: tuple[tuple[str, str], ...]  # material, as written
    differs: tuple[str, ...]  # lines of the sheet against the first run's: "- old", "+ new"


def compare(runs: Iterable[Kept]) -> tuple[Compared, ...] | Problem:
    """Runs of the same sheet, by its title, in the order they were begun."""
    kept = sorted(runs, key=lambda k: k[0].begun)
    titles = {run.title for run, _, _ in kept}
    if len(titles) > 1:
        return Problem("compare.other", f"these are runs of {len(titles)} sheets",
                       hint="runs of one sheet can be compared")  # fmt: skip
    first = kept[0][0].sheet if kept else ""
    return tuple(
        Compared(
            run, found.yields, peaks(entries), strengths(run.sheet), differing(first, run.sheet)
        )
        for run, entries, found in kept
    )


def peaks(entries: Iterable[Entry]) -> tuple[tuple[int, float], ...]:
    """The hottest reading of each step, K."""
    hottest: dict[int, float] = {}
    for entry in in_force(entries):
        reading = entry.reading
        if reading.kind is Kind.TEMPERATURE and reading.value is not None:
            hottest[reading.step] = max(reading.value, hottest.get(reading.step, 0.0))
    return tuple(sorted(hottest.items()))


def strengths(sheet: str) -> tuple[tuple[str, str], ...]:
    """Each material's strength as written, or the bottle it is from."""
    return tuple(
        (m.name, m.strength_text or m.bottle) for m in read_sheet(sheet).preparation.materials
    )


def differing(first: str, other: str) -> tuple[str, ...]:
    """Lines that are in one text only."""
    lines = difflib.ndiff(first.splitlines(), other.splitlines())
    return tuple(line.rstrip() for line in lines if line[:2] in ("- ", "+ ") and line[2:].strip())
