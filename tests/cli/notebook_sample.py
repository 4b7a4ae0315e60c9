"""A folder with a notebook of one short run; all of it is invented."""

from __future__ import annotations

from pathlib import Path

from firstcrop.notebook.book import append, begin_run
from firstcrop.notebook.records import Kind, Reading, Run
from firstcrop.problems import Problem
from firstcrop.store.engine import Store, open_store
from firstcrop.store.urls import default_url

SALTPETRE = """# Saltpetre, cleaned

Makes potassium nitrate, KNO3.

## Materials

| name | substance | strength | notes |
|---|---|---|---|
| saltpetre | potassium nitrate | 92 ± 6 % w/w | damp; invented |

## Vessels

- beaker: 250 mL low-form beaker

## Steps

1. Put 60 mL of water in the beaker. Add 60 g of saltpetre.
2. Heat to 70 °C and hold for 5 min.
3. Cool to 15 °C in cold water over 30 min.
4. Filter; keep the crystals. Dry in air.
"""
READINGS = (
    (Kind.TEMPERATURE, "70 °C", 343.15, "K", 2),
    (Kind.NOTE, "clear, # nothing at the bottom", None, "", 2),
    (Kind.CROP, "56 g (crop 1, wet)", 56e-3, "kg", 4),
    (Kind.CROP, "43.5 g (crop 1, dry)", 43.5e-3, "kg", 4),
)


def store_of(folder: Path) -> Store:
    store = open_store(default_url(folder))
    assert isinstance(store, Store)
    return store


def make_run(folder: Path, sheet: str = SALTPETRE, name: str = "saltpetre.md") -> Run:
    """A sheet in a folder and a run of it in the folder's notebook."""
    (folder / name).write_text(sheet, encoding="utf-8")
    store = store_of(folder)
    title = sheet.splitlines()[0].lstrip("# ")
    run = begin_run(store, title, name, sheet, '{"steps": []}', "R. M.")
    assert isinstance(run, Run)
    readings = [
        Reading(f"k{i}", kind, f"2026-03-01T10:{i:02d}:00+00:00", "R. M.", step, value, unit, text)
        for i, (kind, text, value, unit, step) in enumerate(READINGS)
    ]
    assert not isinstance(append(store, run.id, readings), Problem)
    store.close()
    return run
