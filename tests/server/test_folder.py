"""Sheets in a folder: nothing outside it, nothing by halves, nothing over an unseen change."""

from __future__ import annotations

import os

import pytest

from firstcrop.problems import Problem
from firstcrop.server.folder import Clash, Page, digest, entries, inside, read, save


def test_sheets_are_listed_by_name_with_their_titles(tmp_path):
    (tmp_path / "b.md").write_text("# Second\n", encoding="utf-8")
    (tmp_path / "a.md").write_text("no title", encoding="utf-8")
    (tmp_path / "c.txt").write_text("# Not a sheet", encoding="utf-8")
    (tmp_path / ".d.md").write_text("# Hidden", encoding="utf-8")
    assert [(e.name, e.title) for e in entries(tmp_path)] == [("a.md", "a"), ("b.md", "Second")]


@pytest.mark.parametrize(
    "name",
    ["../x.md", "/etc/x.md", "..\\x.md", "a/b.md", ".x.md", "x", "x.txt", "x\x00.md", "", "a:b.md",
     "x.md/", "%2e%2e/x.md/..", "y" * 200 + ".md"],
)  # fmt: skip
def test_names_that_are_no_names_are_refused(tmp_path, name):
    assert isinstance(inside(tmp_path, name), Problem)


def test_a_link_out_of_the_folder_is_refused(tmp_path):
    secret = tmp_path / "secret.md"
    secret.write_text("secret", encoding="utf-8")
    folder = tmp_path / "open"
    folder.mkdir()
    os.symlink(secret, folder / "link.md")
    found = read(folder, "link.md")
    assert isinstance(found, Problem)
    assert found.code == "name.outside"
    assert entries(folder) == ()
    assert isinstance(save(folder, "link.md", "x", digest(b"secret")), Problem)
    assert secret.read_text(encoding="utf-8") == "secret"


def test_a_save_goes_over_what_was_seen_and_nothing_else(tmp_path):
    first = save(tmp_path, "a.md", "one\n", "")
    assert isinstance(first, Page)
    assert isinstance(save(tmp_path, "a.md", "two\n", first.seen), Page)
    clash = save(tmp_path, "a.md", "three\n", first.seen)
    assert isinstance(clash, Clash)
    assert clash.there is not None
    assert clash.there.text == "two\n"
    assert (tmp_path / "a.md").read_text(encoding="utf-8") == "two\n"
    assert list(tmp_path.iterdir()) == [tmp_path / "a.md"]


def test_a_file_that_appeared_or_went_is_a_clash(tmp_path):
    (tmp_path / "a.md").write_text("there", encoding="utf-8")
    assert isinstance(save(tmp_path, "a.md", "mine", ""), Clash)
    gone = save(tmp_path, "b.md", "mine", digest(b"before"))
    assert isinstance(gone, Clash)
    assert gone.there is None


def test_line_ends_and_mode_stay(tmp_path):
    path = tmp_path / "a.md"
    path.write_bytes(b"one\r\ntwo\r\n")
    path.chmod(0o600)
    page = read(tmp_path, "a.md")
    assert isinstance(page, Page)
    assert page.text == "one\ntwo\n"
    save(tmp_path, "a.md", "one\nthree\n", page.seen)
    assert path.read_bytes() == b"one\r\nthree\r\n"
    assert path.stat().st_mode & 0o777 == 0o600


def test_what_cannot_be_read_is_a_problem(tmp_path):
    (tmp_path / "big.md").write_bytes(b"x" * 1_000_001)
    (tmp_path / "latin.md").write_bytes("süß".encode("latin-1"))
    for name, code in (("none.md", "file.missing"), ("big.md", "file.large"),
                       ("latin.md", "file.encoding")):  # fmt: skip
        found = read(tmp_path, name)
        assert isinstance(found, Problem)
        assert found.code == code
    too_large = save(tmp_path, "new.md", "x" * 1_000_001, "")
    assert isinstance(too_large, Problem)
    assert not (tmp_path / "new.md").exists()
