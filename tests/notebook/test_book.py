"""Readings arrive once, in order, from several benches, on SQLite and PostgreSQL alike."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import text
from sqlalchemy.exc import DatabaseError

from firstcrop.notebook.book import (
    append,
    begin_run,
    find_photo,
    find_run,
    keep_photo,
    runs,
    verify,
)
from firstcrop.notebook.records import Kind, Photo
from firstcrop.notebook.tables import METADATA
from firstcrop.problems import Problem
from firstcrop.store.append_only import REFUSAL
from notebook.samples import fields, problem, reading, recorded, started


def test_the_migration_makes_the_tables_the_code_describes(store):
    ours = set(METADATA.tables)

    def notebook_only(item, name, kind, reflected, other):
        return kind != "table" or name in ours

    with store.reading() as connection:
        context = MigrationContext.configure(connection, opts={"include_object": notebook_only})
        assert compare_metadata(context, METADATA) == []


def test_what_was_recorded_is_read_back(store):
    run = started(store)
    given_in = [reading("a"), reading("b", None, kind=Kind.NOTE, text="turned “blue” — 20 °C\r\n")]
    receipts = recorded(store, run, *given_in)
    found = find_run(store, run.id)
    assert isinstance(found, tuple)
    assert [e.reading for e in found[1]] == given_in
    assert [r.digest for r in receipts] == [e.digest for e in found[1]]
    assert found[0].head == receipts[-1].digest
    assert verify(store, run.id) is None


def test_a_reading_sent_again_is_recorded_once(store):
    run = started(store)
    first = recorded(store, run, reading("a"), reading("b"))
    again = recorded(store, run, reading("b"), reading("a"), reading("c"))
    assert (again[0], again[1]) == (first[1], first[0])
    found = find_run(store, run.id)
    assert isinstance(found, tuple)
    assert fields(found[1]) == [(1, "a"), (2, "b"), (3, "c")]


def test_the_same_key_with_other_contents_is_refused_and_nothing_of_its_batch_is_kept(store):
    run = started(store)
    recorded(store, run, reading("a"))
    found = problem(append(store, run.id, [reading("b"), reading("a", 300.0)]))
    assert found.code == "notebook.key.taken"
    assert "correction" in found.hint
    kept = find_run(store, run.id)
    assert isinstance(kept, tuple)
    assert fields(kept[1]) == [(1, "a")]
    assert verify(store, run.id) is None


@pytest.mark.parametrize(
    ("changed", "code"),
    [
        ({"key": ""}, "notebook.key.bad"),
        ({"who": " "}, "notebook.nobody"),
        ({"value": float("nan")}, "notebook.value.bad"),
        ({"text": "x" * 20_001}, "notebook.text.long"),
        ({"text": "a\0b"}, "notebook.text.bad"),
        ({"corrects": 1, "reason": "misread"}, "notebook.corrects.missing"),
        ({"at": "yesterday"}, "notebook.time.bad"),
        ({"at": "2026-03-01T10:00:00"}, "notebook.time.bad"),
    ],
)
def test_a_reading_that_cannot_be_kept_is_said_to_be_so(store, changed, code):
    assert (
        problem(append(store, started(store).id, [replace(reading("a"), **changed)])).code == code
    )


def test_a_correction_needs_a_reason(store):
    run = started(store)
    recorded(store, run, reading("a"))
    bare = reading("b", 320.0, kind=Kind.CORRECTION, corrects=1)
    assert problem(append(store, run.id, [bare])).code == "notebook.reason.missing"
    recorded(store, run, replace(bare, reason="misread by ten"))


def test_two_people_write_in_one_run_at_once(store):
    run = started(store)

    def write(person: str) -> None:
        for n in range(20):
            recorded(store, run, replace(reading(f"{person}-{n}"), who=person))

    with ThreadPoolExecutor(2) as pool:
        list(pool.map(write, ("R. M.", "A. B.")))
    found = find_run(store, run.id)
    assert isinstance(found, tuple)
    assert verify(store, run.id) is None
    assert [e.number for e in found[1]] == list(range(1, 41))
    for person in ("R. M.", "A. B."):  # each one's readings in the order they were taken
        keys = [e.reading.key for e in found[1] if e.reading.who == person]
        assert keys == [f"{person}-{n}" for n in range(20)]


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE entry SET value = 300",
        "DELETE FROM entry",
        "UPDATE photo SET media_type = 'image/png'",
        "DELETE FROM photo",
        "DELETE FROM run",
        "UPDATE run SET sheet = ''",
    ],
)
def test_the_store_itself_refuses_to_change_what_is_recorded(store, statement):
    run = started(store)
    recorded(store, run, reading("a"))
    assert isinstance(keep_photo(store, "image/png", run.id.encode()), Photo)
    with pytest.raises(DatabaseError, match=REFUSAL), store.writing() as connection:
        connection.execute(text(statement))
    assert verify(store, run.id) is None


def test_a_change_behind_the_notebooks_back_shows(store):
    run = started(store)
    recorded(store, run, reading("a"), reading("b"))
    with store.writing() as connection:
        on = " ON entry" if store.engine.dialect.name == "postgresql" else ""
        connection.execute(text(f"DROP TRIGGER entry_no_update{on}"))
        connection.execute(text("UPDATE entry SET value = 300 WHERE number = 1 AND run_id = :r"),
                           {"r": run.id})  # fmt: skip
    assert problem(verify(store, run.id)).code == "notebook.tampered"


def test_a_run_is_opened_once(store):
    first = begin_run(store, "Alum", "alum.md", "# Alum\n", "{}", "R. M.", id="one")
    assert begin_run(store, "Alum", "alum.md", "# Alum\n", "{}", "R. M.", id="one") == first
    other = begin_run(store, "Alum", "alum.md", "# Other\n", "{}", "R. M.", id="one")
    assert problem(other).code == "notebook.run.taken"
    assert problem(begin_run(store, "Alum", "a.md", "", "{}", " ")).code == "notebook.nobody"
    assert [r.id for r in runs(store) if r.id == "one"] == ["one"]


def test_what_is_not_there_is_said_to_be_missing(store):
    assert problem(find_run(store, "nowhere")).code == "notebook.run.missing"
    assert problem(append(store, "nowhere", [reading("a")])).code == "notebook.run.missing"
    assert problem(verify(store, "nowhere")).code == "notebook.run.missing"
    assert problem(find_photo(store, "nowhere")).code == "notebook.photo.missing"


def test_a_photo_is_kept_once_under_its_digest(store):
    kept = keep_photo(store, "image/jpeg", b"picture")
    assert isinstance(kept, Photo)
    assert keep_photo(store, "image/jpeg", b"picture") == kept
    assert find_photo(store, kept.digest) == kept
    assert problem(keep_photo(store, "text/html", b"x")).code == "notebook.photo.kind"
    assert problem(keep_photo(store, "image/png", b"")).code == "notebook.photo.large"


texts = st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\0"), max_size=40)


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.lists(st.tuples(texts, st.floats(allow_nan=False, allow_infinity=False) | st.none())))
def test_any_text_and_value_comes_back_as_it_went_in(store, given_in):
    run = started(store)
    readings = [reading(f"k{n}", v, text=t) for n, (t, v) in enumerate(given_in)]
    recorded(store, run, *readings)
    found = find_run(store, run.id)
    assert not isinstance(found, Problem)
    assert [e.reading for e in found[1]] == readings
    assert verify(store, run.id) is None
