"""The accuracy board: its tables are whole, a sample of it still comes out as the page says."""

from __future__ import annotations

import importlib
import itertools
import random
import re
import sys
from functools import cache
from pathlib import Path
from statistics import median
from types import ModuleType

import pytest

ROOT = Path(__file__).parents[1]
SEED, SAMPLE = 1894, 40  # of each family
FEWEST = 3000  # values, in ten families
NOWHERE = re.compile(r"github|\.csv|\.py\b|shared/", re.IGNORECASE)


@cache
def board(name: str) -> ModuleType:
    """A module of bench/board."""
    if str(ROOT / "bench") not in sys.path:
        sys.path.insert(0, str(ROOT / "bench"))
    return importlib.import_module(f"board.{name}")


@cache
def rows() -> tuple:
    return board("tables").read_all()


FAMILIES = tuple(path.name for path in sorted((ROOT / "tests/published/board").iterdir())
                 if path.is_dir())  # fmt: skip


@cache
def page() -> dict[str, list[str]]:
    """Cells of the page's first table by family."""
    text = (ROOT / "docs" / "board.md").read_text(encoding="utf-8").split("## ", 1)[0]
    cells = [[c.strip() for c in line.strip("|").split("|")] for line in text.splitlines()]
    return {row[0]: row for row in cells if len(row) == len(board("page").SUMMARY_HEAD)}


def test_ten_families_and_enough_values():
    tables = board("tables")
    assert {key for key, _ in tables.FAMILIES} == set(FAMILIES)
    assert len(FAMILIES) == 10
    assert len(rows()) >= FEWEST
    assert sum(not row.fit for row in rows()) >= FEWEST, "values that check, not only reproduce"


def test_every_row_says_where_it_comes_from():
    tables, properties = board("tables"), board("properties").PROPERTIES
    sources = tables.read_sources()
    seen = set()
    for row in rows():
        assert row.source in sources, row.id
        assert row.obtained in tables.OBTAINED, row.id
        assert row.property in properties, row.id
        assert row.unit == properties[row.property].unit, row.id
        seen.add(row.source)
    assert seen == set(sources), "a source no row uses"
    assert not [s for s in sources.values() if NOWHERE.search(s)]


def test_ids_are_unique():
    ids = [(row.family, row.id) for row in rows()]
    assert len(ids) == len(set(ids))


def test_known_failures_still_name_rows():
    for known in board("tables").read_known():
        assert any(known.covers(row) for row in rows()), known
        assert len(known.reason) > 20, known


def test_a_solubility_point_of_the_bank_counts_as_fit():
    solids = board("mixture").bank().solids
    parts = board("mixture").parts
    held = {
        (frozenset(k for k, _ in s.components if k != "H2O"), round(p.temperature - 273.15, 1)): p
        for s in solids.values()
        for p in s.curve
        if p.source == "crc98sol"
    }
    for row in rows():
        if row.source != "crc98sol" or row.fit or row.what.startswith("ice"):
            continue
        bare = frozenset(k for k, _ in parts(row.what) if k != "H2O")
        point = held.get((bare, round(row.temperature, 1)))
        if point is not None:
            printed = 100.0 * row.value / (100.0 - row.value)
            assert abs(printed / point.value - 1.0) > 0.004, f"{row.id} {row.what} is on a curve"


@pytest.mark.parametrize("family", FAMILIES)
def test_a_sample_comes_out_as_the_page_says(family):
    """The median of a seeded sample is within four times the page's (the spread of a median of
    forty), and four in five of it within one and a half times the page's 95th percentile."""
    heading = dict(board("tables").FAMILIES)[family]
    check = board("score").check
    chosen = [row for row in rows() if row.family == family and not row.fit]
    random.Random(SEED).shuffle(chosen)
    computed = (r for r in map(check, chosen) if r.error is not None and not r.beyond)
    errors = [abs(r.error) for r in itertools.islice(computed, SAMPLE)]
    said = page()[heading]
    usual, high = (float(said[i].split()[0]) for i in (3, 4))
    assert errors, "nothing of the sample could be computed"
    assert median(errors) <= 4.0 * usual
    assert sorted(errors)[int(0.8 * len(errors))] <= high * 1.5


def test_the_page_counts_what_the_tables_hold():
    for key, heading in board("tables").FAMILIES:
        held = [row for row in rows() if row.family == key]
        said = page()[heading]
        assert int(said[1]) == len(held), f"{heading}: run `make board`"
        assert sum(int(said[i]) for i in (2, 6, 7, 8)) == len(held), heading


def test_the_method_names_every_law():
    method = (ROOT / "docs" / "method.md").read_text(encoding="utf-8")
    listed = (ROOT / "bench" / "board" / "laws.tsv").read_text(encoding="utf-8")
    for path in (ROOT / "src" / "firstcrop" / "laws").glob("*.py"):
        if path.name == "__init__.py":
            continue
        before, _, found = method.partition("<!-- board")
        assert f"| `{path.name}` |" in before, f"{path.name}: no equation in docs/method.md"
        assert f"| `{path.name}` |" in found, f"{path.name}: run `make board`"
        assert f"\n{path.name}\t" in listed, f"{path.name}: which table of the board finds it?"
