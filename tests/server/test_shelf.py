"""The shelf's endpoints over a real database, and its page."""

from __future__ import annotations

import warnings

import pytest

from firstcrop.server.app import make_app
from firstcrop.server.guard import Rules
from firstcrop.store import engine
from firstcrop.store.urls import default_url

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

ACID = {"name": "Acid 1", "product": "battery acid", "size": "1 L", "strength": "37 ± 1 % w/w"}
BOTTLE = {
    "name", "product", "substance", "claim", "today", "how", "titrate", "left", "size", "part",
    "low", "price", "stored", "lot", "bought", "made", "opened", "hazards", "notes", "edition",
    "law", "warnings",
}  # fmt: skip


@pytest.fixture
def asker(tmp_path, monkeypatch):
    monkeypatch.delenv("FIRSTCROP_DB", raising=False)
    with TestClient(make_app(tmp_path, Rules()), base_url="http://127.0.0.1:8000") as made:
        yield made


@pytest.fixture
def stocked(asker):
    assert send(asker, "add", cells=ACID).json() == {"name": "acid 1"}
    return asker


def send(asker, what, **body):
    return asker.post(f"/api/shelf/{what}", json=body)


def test_a_bottle_is_added_listed_and_told_in_full(stocked):
    (row,) = stocked.get("/api/shelf").json()["bottles"]
    assert set(row) == BOTTLE
    assert (row["name"], row["today"], row["left"]) == ("acid 1", "37.0 ± 1.0 % w/w", "1.00 L")
    told = send(stocked, "one", name="acid 1").json()
    assert set(told) == {"bottle", "cells", "draws", "assays", "ahead"}
    assert set(told["ahead"][0]) == {"on", "strength", "titrate"}
    assert told["cells"]["strength"] == ACID["strength"]
    assert told["bottle"]["warnings"][0].startswith("H314: ")


def test_all_mistakes_of_a_form_come_at_once(asker):
    found = send(asker, "add", cells={"name": "", "product": "nothing known", "size": "much"})
    assert found.status_code == 400
    assert [p["code"] for p in found.json()["problems"]] == [
        "shelf.product", "shelf.size", "shelf.name"
    ]  # fmt: skip
    assert found.json()["problem"]["code"] == "shelf.product"


def test_drawing_putting_back_counting_and_sending_twice(stocked):
    def left(**body):
        found = send(stocked, "draw", name="acid 1", who="Anna", **body)
        return found.json().get("told") or found.json()["problem"]["code"]

    assert left(amount="100 mL", key="k") == "acid 1: 900 mL left"
    assert left(amount="100 mL", key="k") == "acid 1: 900 mL left"
    assert left(amount="50 mL", how="back") == "acid 1: 950 mL left"
    assert left(amount="500 mL", how="left") == "acid 1: 500 mL left"
    assert left(amount="600 mL") == "shelf.empty"
    assert left(amount="a bit") == "shelf.amount"
    assert len(send(stocked, "one", name="acid 1").json()["draws"]) == 3


def test_the_status_says_what_kind_of_trouble_it_is(stocked):
    draw = {"name": "acid 1", "who": "A", "amount": "2 L"}
    assert send(stocked, "draw", **draw).status_code == 409
    assert send(stocked, "one", name="acid 7").status_code == 404
    assert send(stocked, "add", cells=ACID).status_code == 409


def test_a_database_that_is_busy_is_said_so_and_nothing_is_kept(tmp_path, monkeypatch):
    monkeypatch.setattr(engine, "PATIENCE", 0.05)
    with TestClient(make_app(tmp_path, Rules()), base_url="http://127.0.0.1:8000") as asker:
        send(asker, "add", cells=ACID)
        other = engine.open_store(default_url(tmp_path))
        with other.writing():
            found = send(asker, "draw", name="acid 1", who="A", amount="1 mL")
        other.close()
        assert (found.status_code, found.json()["problem"]["code"]) == (503, "store.busy")
        assert send(asker, "one", name="acid 1").json()["draws"] == []
        assert send(asker, "draw", name="acid 1", who="A", amount="1 mL").status_code == 200


def test_the_second_of_two_edits_is_told(stocked):
    cells = {**ACID, "stored at": "shed"}
    first = send(stocked, "change", name="acid 1", edition=0, cells=cells)
    second = send(stocked, "change", name="acid 1", edition=0, cells={**cells, "notes": "late"})
    assert (first.status_code, second.status_code) == (200, 409)
    assert stocked.get("/api/shelf").json()["bottles"][0]["stored"] == "shed"


def test_a_stock_solution(stocked):
    found = send(stocked, "stock", name="acid 1", strength="1 mol/L", amount="500 mL").json()
    assert set(found) == {"title", "facts", "steps", "sheet"}
    weak = send(stocked, "stock", name="acid 1", strength="60 % w/w", amount="500 mL")
    assert weak.json()["problem"]["code"] == "stock.weak"


READINGS = """
| reading | value | with |
|---|---|---|
| method | acid by alkali | |
| substance | sulfuric acid | |
| sample | 1.00 mL | pipette 1 mL A |
| titre | 19.20; 19.25; 19.22 mL | burette 25 mL A |
| titrant | 0.5000 ± 0.0025 mol/L | |
| density | 1.277 ± 0.002 g/mL | |
| in | % w/w | |
"""


def test_an_assay_is_computed_then_kept_and_used(stocked):
    """1 mL of 37 % acid neutralises 19.3 mL of 0.5 mol/L: 2 · 0.37 · 1.277 / 98.08 / 0.5."""
    asked = {"name": "acid 1", "method": "acid by alkali", "text": READINGS, "who": "Anna"}
    told = send(stocked, "assay", **asked).json()
    assert told["kept"] is False
    assert told["budget"]
    assert send(stocked, "one", name="acid 1").json()["assays"] == []
    kept = send(stocked, "assay", **asked, keep=True)
    assert kept.status_code == 200, kept.json()
    bottle = send(stocked, "one", name="acid 1").json()["bottle"]
    assert bottle["how"].startswith("assayed")


def test_an_assay_of_something_else_is_not_kept(stocked):
    text = READINGS.replace("sulfuric acid", "hydrogen chloride")
    found = send(stocked, "assay", name="acid 1", method="acid by alkali", text=text, who="A",
                 keep=True)  # fmt: skip
    assert found.json()["problem"]["code"] == "assay.other"
    assert send(stocked, "one", name="acid 1").json()["assays"] == []


def test_readings_that_give_nothing_say_why(stocked):
    text = READINGS.replace("19.20", "-19.20")
    found = send(stocked, "assay", name="acid 1", method="acid by alkali", text=text, who="A")
    assert found.status_code == 400
    assert found.json()["problems"]


def test_the_form_of_a_method(asker):
    assert "titre" in send(asker, "form", method="acid by alkali").json()["text"]
    assert send(asker, "form", method="by smell").status_code == 400


def test_csv_out_and_in(stocked, tmp_path):
    text = stocked.get("/api/shelf/export").text
    assert send(stocked, "import", text=text).json() == {"added": [], "alike": ["acid 1"]}
    bad = send(stocked, "import", text="name,product,size\nx,battery acid,much\n")
    assert bad.json()["problems"][0]["where"] == "line 2, column 1"


def test_whose_law_holds(stocked):
    assert stocked.get("/api/shelf").json()["bottles"][0]["law"]
    assert send(stocked, "law", place="Germany").json() == {"place": "Germany"}
    assert stocked.get("/api/shelf").json()["place"] == "Germany"
    assert send(stocked, "law", place="Atlantis").status_code == 400


def test_the_page_is_there(asker):
    page = asker.get("/shelf")
    assert page.status_code == 200
    assert 'placeholder="battery acid"' in page.text
    assert '<option value="acid by alkali">' in page.text


@pytest.mark.parametrize("body", [{}, {"name": 5, "cells": []}, {"cells": {"size": 3}}])
def test_anything_sent_gets_an_answer(stocked, body):
    for what in ("one", "add", "change", "draw", "stock", "form", "assay", "import", "law"):
        assert stocked.post(f"/api/shelf/{what}", json=body).status_code < 500


SHEET = (
    "# N\n\n## Materials\n\n| name | substance | bottle |\n|---|---|---|\n"
    "| acid | sulfuric acid | acid 1 |\n\n## Steps\n\n1. Put 50 mL of water in the beaker.\n"
    "2. Add 10 mL of acid.\n"
)


def test_what_a_run_takes_and_drawing_it_once(stocked):
    found = send(stocked, "takes", text=SHEET).json()
    assert found["cost"]["lines"][0][:3] == ["acid", "acid 1", "10.0 mL"]
    assert "acid 1 ends first: it is enough for 100 more." in found["cost"]["sentences"]
    assert found["strengths"][0]["titrate"] is False
    for _ in range(2):
        told = send(stocked, "run", text=SHEET, name="n.md", who="Anna", key="run 1").json()
        assert told == {"told": ["acid 1: 990 mL left"]}
    plain = SHEET.replace("acid 1", "")
    assert send(stocked, "run", text=plain, name="n.md", who="A", key="k").status_code == 400


def test_a_live_forecast_takes_the_bottle_s_strength(stocked):
    found = stocked.post("/api/forecast", json={"text": SHEET}).json()
    codes = [p["code"] for p in found["report"]["problems"]]
    assert "bottle.strength" in codes
    assert "bottle.missing" not in codes
