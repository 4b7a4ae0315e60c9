"""Digests that chain the entries of a run, so that a change made behind the notebook's back shows.

SHA-256 (FIPS 180-4) over the canonical JSON of a record and the digest before it. Whoever can write
the whole store can write a whole new chain: the last digest is printed on the report, so that a
copy outside the store tells.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from dataclasses import asdict

from firstcrop.notebook.records import Entry, Reading, Run
from firstcrop.problems import Problem

CHAINED_OF_A_RUN = ("id", "title", "sheet_name", "sheet", "forecast", "begun", "who")


def digest_of_run(run: Run) -> str:
    """The digest the first entry is chained to: all of the run that never changes."""
    return _digest({name: getattr(run, name) for name in CHAINED_OF_A_RUN}, "")


def digest_of_entry(number: int, reading: Reading, received: str, previous: str) -> str:
    """The digest of one entry: its reading, number, arrival, and the digest before it."""
    fields = {**asdict(reading), "number": number, "received": received}
    if reading.value is not None:
        fields["value"] = float(reading.value) + 0.0  # a store may forget the sign of a zero
    return _digest(fields, previous)


def _digest(fields: dict[str, object], previous: str) -> str:
    written = json.dumps(fields, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(f"{previous}\n{written}".encode()).hexdigest()


def chained(run: Run, entries: Iterable[Entry]) -> Problem | None:
    """None when every link holds; otherwise the first that does not, and what that means."""
    previous, number = digest_of_run(run), 0
    for entry in entries:
        number += 1
        if entry.number != number:
            return _broken(f"entry {number} of this run is missing")
        right = digest_of_entry(number, entry.reading, entry.received, previous)
        if entry.previous != previous or entry.digest != right:
            return _broken(f"entry {number} of this run is not as it was recorded")
        previous = entry.digest
    if number != run.entries:
        return _broken(f"the run recorded {run.entries} entries and {number} are there")
    return None if previous == run.head else _broken("the last digest is not the run's own")


def _broken(message: str) -> Problem:
    return Problem(
        "notebook.tampered", message, hint="Compare with a backup or the digest on a printed report"
    )


def in_force(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """The entries that stand: a corrected one gives way to its last correction, in its place.

    The correction's own reading says what is now held right; its `corrects` still names the first.
    """
    kept = tuple(entries)
    last: dict[int, Entry] = {}
    for entry in kept:
        if entry.reading.corrects:
            last[_first(kept, entry)] = entry
    return tuple(last.get(e.number, e) for e in kept if not e.reading.corrects)


def _first(entries: tuple[Entry, ...], entry: Entry) -> int:
    """The number of the entry that a correction, or a correction of it, is about."""
    number = entry.reading.corrects
    while 0 < number <= len(entries):
        before = entries[number - 1].reading.corrects
        if not 0 < before < number:  # not a correction itself
            break
        number = before
    return number
