"""Any change to a recorded run breaks its chain (digests: SHA-256, FIPS 180-4)."""

from __future__ import annotations

import hashlib
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstcrop.notebook.chain import chained, digest_of_entry, digest_of_run, in_force
from firstcrop.notebook.records import Entry, Kind, Reading, Run
from notebook.samples import AT, reading


def chain(*readings: Reading) -> tuple[Run, tuple[Entry, ...]]:
    run = Run("r", "Alum", "alum.md", "# Alum\n", "{}", AT, "R. M.")
    previous, entries = digest_of_run(run), []
    for number, each in enumerate(readings, 1):
        digest = digest_of_entry(number, each, AT, previous)
        entries.append(Entry(number, each, AT, previous, digest))
        previous = digest
    return replace(run, entries=len(entries), head=previous), tuple(entries)


RUN, ENTRIES = chain(reading("a"), reading("b", 320.0), reading("c", None, kind=Kind.NOTE))


def test_a_digest_can_be_recomputed_by_hand():
    written = f'{{"begun":"{AT}","forecast":"{{}}","id":"r","sheet":"# Alum\\n",'
    written += '"sheet_name":"alum.md","title":"Alum","who":"R. M."}'
    assert digest_of_run(RUN) == hashlib.sha256(f"\n{written}".encode()).hexdigest()


def test_an_untouched_run_holds():
    assert chained(RUN, ENTRIES) is None


@pytest.mark.parametrize(
    ("entries", "said"),
    [
        (ENTRIES[:-1], "recorded 3 entries and 2 are there"),
        (ENTRIES[1:], "entry 1 of this run is missing"),
        ((ENTRIES[0], ENTRIES[2]), "entry 2 of this run is missing"),
        ((ENTRIES[1], ENTRIES[0], ENTRIES[2]), "entry 1 of this run is missing"),
    ],
)
def test_entries_taken_out_or_moved_show(entries, said):
    found = chained(RUN, entries)
    assert found is not None
    assert said in found.message


@given(
    st.integers(0, 2),
    st.sampled_from(["key", "at", "who", "step", "value", "unit", "text", "reason", "photo"]),
)
def test_a_changed_field_shows(which, field):
    before = getattr(ENTRIES[which].reading, field)
    other = 7 if field == "step" else 1.5 if field == "value" else f"{before} "
    changed = replace(ENTRIES[which], reading=replace(ENTRIES[which].reading, **{field: other}))
    found = chained(RUN, (*ENTRIES[:which], changed, *ENTRIES[which + 1 :]))
    assert found is not None
    assert f"entry {which + 1}" in found.message


def test_a_changed_sheet_shows():
    found = chained(replace(RUN, sheet="# Other\n"), ENTRIES)
    assert found is not None
    assert "entry 1" in found.message


def test_a_run_rewritten_from_the_middle_shows_by_its_last_digest():
    run, entries = chain(reading("a"), reading("x"), reading("c", None, kind=Kind.NOTE))
    assert chained(run, entries) is None  # whoever rewrites all of it makes a whole chain
    assert run.head != RUN.head  # which a printed report tells from the first


def test_a_correction_stands_where_the_first_was():
    fixed = reading("d", 321.0, kind=Kind.CORRECTION, corrects=2, reason="misread")
    again = reading("e", 322.0, kind=Kind.CORRECTION, corrects=4, reason="misread again")
    _, entries = chain(*(e.reading for e in ENTRIES), fixed, again)
    assert [e.number for e in in_force(entries)] == [1, 5, 3]
