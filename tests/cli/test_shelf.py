"""firstcrop shelf: bottles in and out, draws, age, law; mistakes with their exit codes."""

from __future__ import annotations

import json

import pytest

from firstcrop.cli.entry import run
from firstcrop.cli.exits import Exit
from firstcrop.store import engine
from firstcrop.store.urls import default_url

SHEET = """# Neutral

## Materials

| name | substance | bottle |
|---|---|---|
| acid | sulfuric acid | acid 1 |

## Steps

1. Put 100 mL of water in the beaker.
2. Add 10 mL of acid.
"""


@pytest.fixture
def shelf(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("FIRSTCROP_DB", raising=False)
    call("add", "acid 1", "battery acid", "--size", "1 L", "--strength", "37 ± 1 % w/w")
    return tmp_path


def call(*words):
    return run(["shelf", *words])


def told(capsys, *words):
    capsys.readouterr()
    assert call(*words) == Exit.FINE
    return capsys.readouterr().out


def test_a_bottle_is_listed_and_shown(shelf, capsys):
    assert "battery acid" in told(capsys, "list")
    shown = told(capsys, "show", "acid 1")
    assert "37.0 ± 1.0 % w/w" in shown
    assert "Check your local" in shown
    assert json.loads(told(capsys, "list", "--json"))[0]["name"] == "acid 1"
    assert json.loads(told(capsys, "show", "acid 1", "--json"))["draws"] == []


def test_drawing_putting_back_and_counting(shelf, capsys):
    assert told(capsys, "draw", "acid 1", "100 mL", "--who", "A").strip() == "acid 1: 900 mL left"
    assert "950 mL" in told(capsys, "draw", "acid 1", "50 mL", "--back", "--who", "A")
    assert "700 mL" in told(capsys, "draw", "acid 1", "--left", "700 mL", "--who", "A")
    drawn = json.loads(told(capsys, "show", "acid 1", "--json"))["draws"]
    assert [d["amount"] for d in drawn] == ["100 mL", "50.0 mL back", "250 mL"]


def test_drawing_for_a_sheet_once_a_run(shelf, capsys):
    (shelf / "neutral.md").write_text(SHEET, encoding="utf-8")
    words = ("draw", "--sheet", "neutral.md", "--run", "1", "--who", "A")
    assert told(capsys, *words).strip() == "acid 1: 990 mL left"
    assert told(capsys, *words).strip() == "acid 1: 990 mL left"


def test_the_forecast_finds_the_shelf_of_the_sheet_s_folder(shelf, capsys):
    (shelf / "neutral.md").write_text(SHEET, encoding="utf-8")
    assert run(["forecast", str(shelf / "neutral.md"), "--json"]) == Exit.FINE
    document = json.loads(capsys.readouterr().out)
    assert document["rests_on"][0]["label"] == "strength of acid, bottle acid 1" or any(
        r["label"] == "strength of acid, bottle acid 1" for r in document["rests_on"]
    )
    (shelf / "neutral.md").write_text(SHEET.replace("acid 1", "acid 9"), encoding="utf-8")
    assert run(["check", str(shelf / "neutral.md")]) == Exit.ERRORS
    assert "did you mean acid 1?" in capsys.readouterr().out


def test_out_and_in_to_another_database(shelf, capsys):
    assert told(capsys, "export", "-o", "shelf.csv") == ""
    assert call("export", "-o", "shelf.csv") == Exit.USAGE  # it is not overwritten
    text = told(capsys, "--db", "sqlite:///other.db", "import", "shelf.csv")
    assert "Added: acid 1." in text
    assert "acid 1" in told(capsys, "--db", "sqlite:///other.db", "list")


def test_bad_rows_are_told_with_their_line(shelf, capsys):
    (shelf / "bad.csv").write_text("name,product,size\nx,battery acid,some\n", encoding="utf-8")
    assert call("import", "bad.csv") == Exit.ERRORS
    errors = capsys.readouterr().err
    assert "Nothing was added." in errors
    assert "2" in errors


def test_age_and_law(shelf, capsys):
    call("add", "bleach", "thin bleach", "--size", "2 L", "--made", "2026-01-01")
    strengths = json.loads(told(capsys, "age", "bleach", "--json"))["strength"]
    assert len(strengths) == 5
    assert "titrate before use" in told(capsys, "age", "bleach")
    assert "not said" in told(capsys, "law")
    assert "Germany" in told(capsys, "law", "Germany")
    assert call("law", "Atlantis") == Exit.ERRORS


def test_changing_what_is_written(shelf, capsys):
    shown = told(capsys, "change", "acid 1", "--stored-at", "cellar", "--temperature", "12 °C")
    assert "cellar, 12 °C" in shown
    assert json.loads(told(capsys, "show", "acid 1", "--json"))["claim"] == "37 ± 1 % w/w"


@pytest.mark.parametrize(
    ("words", "code", "part"),
    [
        (("add", "acid 1", "battery acid", "--size", "1 L"), Exit.ERRORS, "there is a bottle"),
        (("add", "x", "batery acid", "--size", "1 L"), Exit.ERRORS, "not in the bank"),
        (("show", "acid 2"), Exit.ERRORS, "did you mean acid 1"),
        (("draw", "acid 1", "2 L", "--who", "A"), Exit.ERRORS, "holds 1000 mL"),
        (("draw", "acid 1", "0 mL", "--who", "A"), Exit.ERRORS, "how much"),
        (("draw", "acid 1", "--who", "A"), Exit.USAGE, "say NAME AMOUNT"),
        (("import", "none.csv"), Exit.USAGE, "no file"),
        (("--db", "oracle://x/y", "list"), Exit.ERRORS, "not the URL"),
    ],
)
def test_mistakes(shelf, capsys, words, code, part):
    capsys.readouterr()
    assert call(*words) == code
    assert part in capsys.readouterr().err


def test_a_stock_solution_and_its_sheet(shelf, capsys):
    text = told(capsys, "stock", "acid 1", "1 mol/L", "--amount", "500 mL", "-o", "stock.md")
    assert "Check the density" in text
    assert run(["check", "stock.md"]) == Exit.FINE
    found = json.loads(told(capsys, "stock", "acid 1", "1 mol/L", "--json"))
    assert found["title"] == "1 mol/L sulfuric acid"
    assert call("stock", "acid 1", "60 % w/w") == Exit.ERRORS
    assert "too weak" in capsys.readouterr().err
    assert call("stock", "acid 1", "strong", "--amount", "some") == Exit.ERRORS


def test_cost_and_readiness_of_a_sheet(shelf, capsys):
    (shelf / "neutral.md").write_text(SHEET, encoding="utf-8")
    call("change", "acid 1", "--price", "20 EUR")
    assert "A run costs 0.20 EUR." in told(capsys, "cost", "neutral.md")
    assert "Buy for 200 run(s): 1.00 L" in told(capsys, "cost", "neutral.md", "--runs", "200")
    assert json.loads(told(capsys, "cost", "neutral.md", "--json"))["batches"] == 100
    assert "nothing that shows" in told(capsys, "check", "neutral.md")
    assert json.loads(told(capsys, "check", "neutral.md", "--json"))["problems"] == []
    assert call("cost", "none.md") == Exit.USAGE


def test_a_sheet_s_own_folder_is_where_its_bottles_stand(
    shelf, tmp_path_factory, monkeypatch, capsys
):
    (shelf / "neutral.md").write_text(SHEET, encoding="utf-8")
    monkeypatch.chdir(tmp_path_factory.mktemp("elsewhere"))
    assert "acid 1 ends first" in told(capsys, "cost", str(shelf / "neutral.md"))
    words = ("draw", "--sheet", str(shelf / "neutral.md"), "--who", "A")
    assert told(capsys, *words).strip() == "acid 1: 990 mL left"
    assert "990 mL" in told(capsys, "--folder", str(shelf), "list")


def test_a_busy_database_is_no_bug_of_ours(shelf, capsys, monkeypatch):
    monkeypatch.setattr(engine, "PATIENCE", 0.05)
    other = engine.open_store(default_url(shelf))
    with other.writing():
        assert call("draw", "acid 1", "10 mL", "--who", "A") == Exit.USAGE
    other.close()
    assert "does not answer" in capsys.readouterr().err


def test_the_label_of_a_bottle_and_its_pdf(shelf, capsys):
    assert call("label", "acid 1") == Exit.FINE
    said = capsys.readouterr().out
    assert "Danger" in said
    assert "H314" in said
    assert call("label", "acid 1", "-o", "label.pdf") == Exit.FINE
    assert (shelf / "label.pdf").read_bytes().startswith(b"%PDF-")
    assert call("label", "none") != Exit.FINE


def test_bottles_that_must_not_stand_together_are_named(shelf, capsys):
    assert call("apart") == Exit.FINE
    assert "not a promise of safety" in capsys.readouterr().out
    call("add", "bleach 1", "bleach", "--size", "1 L", "--strength", "4.5 ± 0.5 % w/w")
    capsys.readouterr()
    assert call("apart") == Exit.FINE
    said = capsys.readouterr().out
    assert "bleach 1" in said
    assert "hlorine" in said


@pytest.mark.parametrize("name", ["nitro-glycerin", "sulphur-mustard"])  # of the stop list's tests
def test_what_is_not_planned_is_not_kept_either(shelf, capsys, name):
    assert call("add", "bottle 9", name, "--size", "1 L") == Exit.REFUSED
    assert call("add", name, "vinegar", "--size", "1 L") == Exit.REFUSED
    (shelf / "in.csv").write_text(f"name,product,size\nb,{name},1 L\n", encoding="utf-8")
    assert call("import", "in.csv") == Exit.REFUSED
    capsys.readouterr()
    assert call("list", "--json") == Exit.FINE
    assert [b["name"] for b in json.loads(capsys.readouterr().out)] == ["acid 1"]
