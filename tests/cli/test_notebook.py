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
from firstcrop.sheet.read import read_sheet


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


def test_what_was_learned_is_written_into_the_sheet_once(kept, capsys, tmp_path):
    sheet = tmp_path / "saltpetre.md"
    before = sheet.read_text(encoding="utf-8")
    assert call("learn", kept.id, "--use") == Exit.FINE
    after = sheet.read_text(encoding="utf-8")
    assert after != before
    strength = read_sheet(after).preparation.materials[0].strength
    assert strength is not None
    assert strength.band < 0.06
    assert abs(strength.value - 0.92) < 0.06
    assert call("learn", kept.id, "--use") == Exit.ERRORS
    assert "changed since the run" in capsys.readouterr().err
    assert sheet.read_text(encoding="utf-8") == after


def test_a_run_that_names_a_file_elsewhere_writes_nothing(tmp_path, monkeypatch, capsys):
    (tmp_path / "in").mkdir()
    monkeypatch.chdir(tmp_path / "in")
    monkeypatch.delenv("FIRSTCROP_DB", raising=False)
    kept = make_run(tmp_path / "in", name="../out.md")
    assert call("learn", kept.id, "--use") == Exit.ERRORS
    assert "no sheet of this folder" in capsys.readouterr().err
    assert (tmp_path / "out.md").read_text(encoding="utf-8") == SALTPETRE


def test_advice_and_comparison(kept, capsys, tmp_path):
    assert "step 3, brought to: 15 → 10" in " ".join(told(capsys, "advise", "saltpetre.md").split())
    rows = json.loads(told(capsys, "advise", "saltpetre.md", "--json"))
    gains = [row["yield_gain"] for row in rows]
    assert gains == sorted(gains, reverse=True)
    other = make_run(tmp_path, SALTPETRE.replace("15 °C", "10 °C"))
    rows = json.loads(told(capsys, "compare", kept.id, other.id, "--json"))
    assert rows[1]["differs"][0].startswith("- 3. Cool to 15")
    assert "all" in told(capsys, "compare", kept.id, other.id) or rows[0]["yields"]


def test_a_designed_set_and_its_effects(kept, capsys, tmp_path):
    words = ("design", "saltpetre.md", "--factor", "time step 3=20..60", "--factor",
             "amount of water=50..70", "-o", "set")  # fmt: skip
    assert call(*words) == Exit.FINE
    assert call(*words) == Exit.ERRORS  # the folder is there
    plan = tmp_path / "set" / "design.csv"
    lines = plan.read_text(encoding="utf-8").splitlines()
    assert len(lines) == 9
    assert len(list((tmp_path / "set").glob("*.md"))) == 8
    assert call("effects", plan) == Exit.ERRORS  # no results yet
    done = [line + str(80 - 3 * int(line.split(",")[3])) for line in lines[1:]]
    plan.write_text("\n".join([lines[0], *done]) + "\n", encoding="utf-8")
    assert "amount of water, step 1 -6" in " ".join(told(capsys, "effects", plan).split())
    assert call("design", "saltpetre.md", "--factor", "time", "-o", "x") == Exit.ERRORS
