"""The whole database out and in, across kinds of database."""

from __future__ import annotations

import zipfile

import pytest
from sqlalchemy import insert, select

from firstcrop.notebook.book import find_run, keep_photo, verify
from firstcrop.problems import Problem
from firstcrop.shelf.tables import BOTTLE
from firstcrop.store.backup import back_up, restore
from firstcrop.store.engine import Store, open_store
from notebook.samples import reading, recorded, started
from store.test_engine import ACID


def filled(store):
    run = started(store)
    recorded(store, run, reading("a"), reading("b", 321.5))
    keep_photo(store, "image/png", bytes(range(256)))
    with store.writing() as connection:
        connection.execute(insert(BOTTLE).values(**ACID))
    return run


def opened(url: str) -> Store:
    found = open_store(url)
    assert isinstance(found, Store)
    return found


@pytest.mark.parametrize("into", ["sqlite", "the same kind"])
def test_out_and_in_again_is_all_there(store, store_url, tmp_path, into, request):
    run = filled(store)
    rows = back_up(store, tmp_path / "all.zip")
    assert isinstance(rows, int)
    assert rows >= 5  # a run, two entries, a photo, a bottle
    url = f"sqlite:///{tmp_path}/new.db"
    if into != "sqlite" and store_url.startswith("postgres"):
        from postgres import new_database

        url = new_database(request.getfixturevalue("postgres_folder"), f"r{run.id}")
    assert restore(tmp_path / "all.zip", url) == rows
    again = opened(url)
    assert find_run(again, run.id) == find_run(store, run.id)
    assert verify(again, run.id) is None
    with again.writing() as connection:  # a new row gets a number of its own
        connection.execute(insert(BOTTLE).values(**{**ACID, "name": "second"}))
        ids = connection.execute(select(BOTTLE.c.id)).scalars().all()
    assert len(set(ids)) == 2
    again.close()


def test_a_database_that_holds_something_is_left_alone(store, store_url, tmp_path):
    run = filled(store)
    back_up(store, tmp_path / "all.zip")
    found = restore(tmp_path / "all.zip", store_url)
    assert isinstance(found, Problem)
    assert found.code == "backup.not empty"
    assert verify(store, run.id) is None


def test_what_is_no_backup_is_a_problem(tmp_path):
    url = f"sqlite:///{tmp_path}/new.db"
    (tmp_path / "a.zip").write_bytes(b"no zip")
    with zipfile.ZipFile(tmp_path / "b.zip", "w") as archive:
        archive.writestr("about.json", '{"format": "something else"}')
    with zipfile.ZipFile(tmp_path / "c.zip", "w") as archive:
        archive.writestr("about.json", '{"format": "firstcrop backup", "version": 1, "stage": "9"}')
    for name in ("a.zip", "b.zip", "c.zip", "none.zip"):
        found = restore(tmp_path / name, url)
        assert isinstance(found, Problem), name
    found = back_up(opened(url), tmp_path / "none" / "x.zip")
    assert isinstance(found, Problem)
    assert found.code == "backup.unwritable"


def test_a_backup_cut_short_restores_nothing(store, tmp_path):
    filled(store)
    back_up(store, tmp_path / "all.zip")
    with (
        zipfile.ZipFile(tmp_path / "all.zip") as whole,
        zipfile.ZipFile(tmp_path / "cut.zip", "w") as cut,
    ):
        for name in whole.namelist():
            content = whole.read(name)
            cut.writestr(name, content[:-20] if name == "entry.jsonl" else content)
    url = f"sqlite:///{tmp_path}/new.db"
    assert isinstance(restore(tmp_path / "cut.zip", url), Problem)
    assert isinstance(restore(tmp_path / "all.zip", url), int)
