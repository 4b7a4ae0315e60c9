"""Readings for the notebook's tests; the run is invented."""

from __future__ import annotations

from firstcrop.notebook.book import append, begin_run
from firstcrop.notebook.records import Entry, Kind, Reading, Receipt, Run
from firstcrop.problems import Problem
from firstcrop.store.engine import Store

AT = "2026-03-01T10:00:00+00:00"


def reading(key: str, value: float | None = 318.15, **other: object) -> Reading:
    fields = {"kind": Kind.TEMPERATURE, "unit": "K", "text": "45 °C", "step": 2} | other
    return Reading(key=key, at=AT, who="R. M.", value=value, **fields)  # type: ignore[arg-type]


def started(store: Store, sheet: str = "# Alum\n") -> Run:
    run = begin_run(store, "Alum", "alum.md", sheet, '{"steps": []}', "R. M.")
    assert isinstance(run, Run)
    return run


def recorded(store: Store, run: Run, *readings: Reading) -> tuple[Receipt, ...]:
    receipts = append(store, run.id, readings)
    assert not isinstance(receipts, Problem), receipts
    return receipts


def problem(found: object) -> Problem:
    assert isinstance(found, Problem), found
    return found


def fields(entries: tuple[Entry, ...]) -> list[tuple[int, str]]:
    return [(e.number, e.reading.key) for e in entries]
