"""firstcrop notebook: runs told, verified, moved in files; mistakes with their exit codes."""

from __future__ import annotations

import io
import json
import zipfile

import pytest
from pypdf import PdfReader
from sqlalchemy import text

from cli.notebook_sample import SALTPETRE, make_run, store_of
from firstcrop.cli.entry import run
from firstcrop.cli.exits import Exit


@pytest.fixture
def kept(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("FIRSTCROP_DB", raising=False)
    return make_run(tmp_path)


def call(*words):
    return run(["notebook", *map(str, words)])


def told(capsys, *words):
    capsys.readouterr()
    assert call(*words) == Exit.FINE
    return capsys.readouterr().out


def test_runs_are_listed_and_shown_by_the_beginning_of_their_number(kept, capsys):
    assert kept.id[:8] in told(capsys, "list")
    assert json.loads(told(capsys, "list", "--json"))[0]["entries"] == 4
    assert "43.5 g (crop 1, dry)" in told(capsys, "show", kept.id[:6])
    shown = json.loads(told(capsys, "show", kept.id, "--json"))
    assert [row["kind"] for row in shown["entry_rows"]] == ["temperature", "note", "crop", "crop"]


def test_the_account_says_the_yield(kept, capsys):
    rows = json.loads(told(capsys, "account", kept.id, "--json"))
    assert rows["yields"][0]["mass"].startswith("43.5")
    assert "43.5" in told(capsys, "account", kept.id)


def test_a_run_teaches_the_strength_of_its_bottle(kept, capsys):
    rows = json.loads(told(capsys, "learn", kept.id, "--json"))
    assert any("strength of saltpetre" in row["label"] for row in rows["lessons"])


def test_the_sheet_comes_back_with_what_was_observed(kept, capsys, tmp_path):
    assert "- crop: 43.5 g" in told(capsys, "observed", kept.id)
    assert call("observed", kept.id, "-o", "out.md") == Exit.FINE
    assert "- after step 2: 70 °C" in (tmp_path / "out.md").read_text(encoding="utf-8")
    assert call("observed", kept.id, "-o", "out.md") == Exit.USAGE  # it is there already


def test_a_tampered_run_is_found(kept, capsys, tmp_path):
    assert "as recorded" in told(capsys, "verify")
    assert "as recorded" in told(capsys, "verify", kept.id[:8])
    store = store_of(tmp_path)
    with store.writing() as connection:
        for trigger in (
            connection.execute(text("SELECT name FROM sqlite_master WHERE type = 'trigger'"))
            .scalars()
            .all()
        ):
            connection.execute(text(f'DROP TRIGGER "{trigger}"'))
        connection.execute(text("UPDATE entry SET text = '71 °C' WHERE number = 1"))
    store.close()
    capsys.readouterr()
    assert call("verify") == Exit.ERRORS
    assert "not as recorded: entry 1" in capsys.readouterr().out


def test_export_goes_into_another_notebook(kept, capsys, tmp_path):
    (tmp_path / "other").mkdir()
    assert call("export", "runs.zip") == Exit.FINE
    assert call("export", "runs.zip") == Exit.USAGE
    assert call("export", "runs.zip", "--force") == Exit.FINE
    assert call("--folder", "other", "import", "runs.zip") == Exit.FINE
    assert kept.id[:8] in told(capsys, "--folder", "other", "list")
    with zipfile.ZipFile("runs.zip") as archive:
        assert f"{kept.id}/entries.csv" in archive.namelist()


def test_a_backup_fills_an_empty_database_only(kept, capsys, tmp_path):
    assert call("backup", "all.zip") == Exit.FINE
    assert call("--db", f"sqlite:///{tmp_path}/new.db", "restore", "all.zip") == Exit.FINE
    assert kept.id[:8] in told(capsys, "--db", f"sqlite:///{tmp_path}/new.db", "list")
    assert call("restore", "all.zip") != Exit.FINE
    assert "not empty" in capsys.readouterr().err


@pytest.mark.parametrize("kind", ["report", "run-sheet", "labels"])
def test_papers_of_a_run(kept, kind, tmp_path):
    assert call(kind, kept.id, "-o", "out.pdf") == Exit.FINE
    pages = PdfReader(tmp_path / "out.pdf").pages
    assert "altpetre" in "".join(page.extract_text() for page in pages)


@pytest.mark.parametrize("kind", ["--run-sheet", "--labels"])
def test_papers_of_a_sheet_without_a_run(tmp_path, kind):
    sheet, out = tmp_path / "s.md", tmp_path / "out.pdf"
    sheet.write_text(SALTPETRE, encoding="utf-8")
    assert run(["paper", str(sheet), kind, "-o", str(out)]) == Exit.FINE
    assert len(PdfReader(io.BytesIO(out.read_bytes())).pages) >= 1
    assert run(["paper", str(sheet), kind, "-o", str(out)]) == Exit.USAGE


def test_mistakes(kept, capsys, tmp_path):
    assert call("show", "zzz") == Exit.ERRORS
    assert "no run" in capsys.readouterr().err
    (tmp_path / "empty").mkdir()
    assert call("--folder", "empty", "list") == Exit.ERRORS
    assert "no notebook here" in capsys.readouterr().err
    assert not (tmp_path / "empty" / "firstcrop.db").exists()
    assert call("import", "missing.zip") == Exit.ERRORS
    assert run(["paper", "saltpetre.md", "-o", "x.pdf"]) == Exit.USAGE
    assert run(["paper", "nothing.md", "--labels", "-o", "x.pdf"]) == Exit.USAGE
