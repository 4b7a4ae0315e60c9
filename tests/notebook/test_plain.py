"""A notebook goes out as plain files and comes back the same; a changed file is refused."""

from __future__ import annotations

import zipfile

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstcrop.notebook.book import find_photo, find_run, keep_photo, verify
from firstcrop.notebook.plain import export_zip, import_zip, run_files, run_of_files
from firstcrop.notebook.records import Kind, Photo
from firstcrop.problems import Problem
from firstcrop.store.engine import Store, open_store
from notebook.samples import problem, reading, recorded, started


@pytest.fixture
def empty(tmp_path):
    opened = open_store(f"sqlite:///{tmp_path}/other.db")
    assert isinstance(opened, Store)
    return opened


def filled(store):
    run = started(store, "# Alum\n\nDüs “20 °C”\r\n")
    photo = keep_photo(store, "image/png", b"\x89PNG picture")
    assert isinstance(photo, Photo)
    note = reading("b", None, kind=Kind.NOTE, text='turned "blue",\r\nthen\nclear', unit="")
    recorded(
        store, run, reading("a"), note, reading("c", None, kind=Kind.PHOTO, photo=photo.digest)
    )
    return run, photo


def test_out_and_in_again_is_the_same(store, empty, tmp_path):
    run, photo = filled(store)
    assert isinstance(export_zip(store, tmp_path / "notebook.zip"), int)
    assert isinstance(import_zip(empty, tmp_path / "notebook.zip"), int)
    assert find_run(empty, run.id) == find_run(store, run.id)
    assert find_photo(empty, photo.digest) == photo
    assert verify(empty, run.id) is None
    assert import_zip(empty, tmp_path / "notebook.zip") == 0


def test_a_run_that_went_on_is_brought_up_to_date(store, empty, tmp_path):
    run, _ = filled(store)
    export_zip(store, tmp_path / "early.zip")
    import_zip(empty, tmp_path / "early.zip")
    recorded(store, run, reading("d"))
    export_zip(store, tmp_path / "late.zip")
    assert import_zip(empty, tmp_path / "late.zip") == 1
    assert find_run(empty, run.id) == find_run(store, run.id)
    assert import_zip(store, tmp_path / "early.zip") == 0


def test_a_run_that_went_on_differently_is_refused(store, empty, tmp_path):
    run, _ = filled(store)
    export_zip(store, tmp_path / "early.zip")
    import_zip(empty, tmp_path / "early.zip")
    recorded(store, run, reading("d"))
    recorded(empty, run, reading("other"))
    export_zip(store, tmp_path / "late.zip")
    assert problem(import_zip(empty, tmp_path / "late.zip")).code == "notebook.run.other"
    assert verify(empty, run.id) is None


@pytest.mark.parametrize(
    ("name", "old", "new", "code"),
    [
        ("entries.csv", b"318.15", b"316.15", "notebook.tampered"),
        ("entries.csv", b"temperature", b"weather", "notebook.file.unreadable"),
        ("sheet.md", b"Alum", b"Salt", "notebook.tampered"),
        ("run.json", b'"version": 1', b'"version": 9', "notebook.file.unreadable"),
        ("run.json", b'"title"', b'"tital"', "notebook.file.unreadable"),
        ("run.json", b"{", b"", "notebook.file.unreadable"),
    ],
)
def test_a_changed_file_is_refused_and_nothing_is_taken(store, name, old, new, code):
    files = run_files(store, filled(store)[0].id)
    assert not isinstance(files, Problem)
    assert problem(run_of_files(files | {name: files[name].replace(old, new, 1)})).code == code


@pytest.mark.parametrize("name", ["run.json", "sheet.md", "forecast.json", "entries.csv"])
def test_a_missing_file_is_named(store, name):
    files = run_files(store, filled(store)[0].id)
    assert not isinstance(files, Problem)
    del files[name]
    assert name in problem(run_of_files(files)).message


def test_what_is_no_zip_is_a_problem(empty, tmp_path):
    (tmp_path / "x.zip").write_bytes(b"not a zip")
    assert problem(import_zip(empty, tmp_path / "x.zip")).code == "notebook.file.unreadable"
    assert problem(import_zip(empty, tmp_path / "none.zip")).code == "notebook.file.unreadable"
    away = tmp_path / "none" / "x.zip"
    assert problem(export_zip(empty, away)).code == "notebook.file.unwritable"


@given(st.dictionaries(st.sampled_from(["run.json", "sheet.md", "forecast.json", "entries.csv"]),
                       st.binary(max_size=60) | st.text(max_size=60).map(str.encode)))  # fmt: skip
def test_any_bytes_are_a_problem_and_no_crash(files):
    assert isinstance(run_of_files(files), Problem)


def test_a_zip_with_a_foreign_folder_is_refused(empty, tmp_path):
    with zipfile.ZipFile(tmp_path / "x.zip", "w") as archive:
        archive.writestr("holiday/picture.txt", "hello")
    assert problem(import_zip(empty, tmp_path / "x.zip")).code == "notebook.file.unreadable"
