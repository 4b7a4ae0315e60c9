"""A run over the endpoints: opened, read, corrected, watched; what is unreadable is kept."""

from __future__ import annotations

import json
import warnings

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstcrop.notebook.records import Kind, Reading
from firstcrop.run import forecast_sheet
from firstcrop.server.app import make_app
from firstcrop.server.bench import reading_of
from firstcrop.server.engine import Engine
from firstcrop.server.guard import Rules

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

LYE = """# Lye

Makes sodium hydroxide, NaOH.

## Materials

| name | substance | strength | notes |
|---|---|---|---|
| lye | sodium hydroxide | 30 ± 5 % w/w | |

## Vessels

- beaker: 250 mL low-form beaker

## Steps

1. Put 100 ± 2 mL of water in the beaker. Add 20 mL of lye.
2. Heat to 40 °C.
"""
AT = "2026-03-01T10:00:00+00:00"


class Here(Engine):
    """Computes bands in this process."""

    async def with_bands(self, text, gone, page=""):
        return forecast_sheet(text, self.bank(), True)


@pytest.fixture
def asker(tmp_path):
    with TestClient(make_app(tmp_path, Rules(), Here()), base_url="http://127.0.0.1:8000") as made:
        yield made


@pytest.fixture
def begun(asker):
    answer = asker.post("/api/runs", json={"text": LYE, "name": "lye.md", "who": "R. M."})
    assert answer.status_code == 200, answer.text
    return answer.json()["id"]


def sent(key, kind="temperature", text="31.5 °C", **more):
    return {"key": key, "kind": kind, "text": text, "at": AT, "who": "R. M.", "step": 1} | more


def send(asker, run, *readings):
    answer = asker.post(f"/api/runs/{run}/readings", json={"readings": list(readings)})
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_a_run_keeps_its_forecast_and_its_readings(asker, begun):
    found = send(asker, begun, sent("a"), sent("b", "pH", "13.2"), sent("c", "note", "cloudy"))
    assert [r["number"] for r in found["receipts"]] == [1, 2, 3]
    assert found["problems"] == []
    run = asker.get(f"/api/runs/{begun}").json()
    first = run["sheet"]["steps"][0]
    assert first["text"].startswith("Put 100")
    assert first["expect"][0].startswith("peak ")
    assert len(first["curve"]) > 1
    assert [(e["kind"], e["text"], e["celsius"]) for e in run["entries"]] == [
        ("temperature", "31.5 °C", 31.5), ("pH", "13.2", None), ("note", "cloudy", None)
    ]  # fmt: skip
    assert [r["id"] for r in asker.get("/api/runs").json()["runs"]] == [begun]


def test_readings_sent_twice_are_there_once(asker, begun):
    assert send(asker, begun, sent("a")) == send(asker, begun, sent("a"))
    assert len(asker.get(f"/api/runs/{begun}").json()["entries"]) == 1


def test_what_cannot_be_read_is_kept_as_a_note_and_said(asker, begun):
    found = send(asker, begun, sent("a", text="hot!!"), sent("b", "mass", "20 °C"))
    assert [p["code"] for p in found["problems"]] == ["reading.unread", "reading.unread"]
    entries = asker.get(f"/api/runs/{begun}").json()["entries"]
    assert [(e["kind"], e["text"]) for e in entries] == [("note", "hot!!"), ("note", "20 °C")]


def test_a_correction_leaves_the_first_entry_there(asker, begun):
    send(asker, begun, sent("a", text="81.5 °C"))
    send(asker, begun, sent("b", "correction", "31.5 °C", corrects=1, reason="misread"))
    entries = asker.get(f"/api/runs/{begun}").json()["entries"]
    assert [(e["text"], e["stands"]) for e in entries] == [("81.5 °C", False), ("31.5 °C", True)]


def test_the_rest_is_forecast_from_what_was_read_and_a_surprise_is_explained(asker, begun):
    send(asker, begun, sent("a", text="85 °C"))
    told = asker.get(f"/api/runs/{begun}/again").json()
    (alarm,) = told["alarms"]
    assert alarm["read"] == "85.0 °C"
    assert alarm["first"].startswith("Stop adding")
    assert any("lye" in lesson["label"] for lesson in told["lessons"])
    assert {"step": 2, "what": "ends at"}.items() <= told["again"][-1].items() or told["again"]


def test_a_loggers_file_is_taken_once(asker, begun):
    log = {"text": "time,temp\n0,20\n60,25\nx,y\n", "who": "R. M.", "step": 1}
    for _ in range(2):
        found = asker.post(f"/api/runs/{begun}/log", json=log).json()
        assert found["taken"] == 2
        assert len(found["problems"]) == 1
    assert len(asker.get(f"/api/runs/{begun}").json()["entries"]) == 2


def test_a_photo_is_kept_and_shown(asker):
    kept = asker.post("/api/photos", content=b"\x89PNG x", headers={"content-type": "image/png"})
    shown = asker.get(f"/api/photos/{kept.json()['photo']}")
    assert (shown.content, shown.headers["content-type"]) == (b"\x89PNG x", "image/png")
    bad = asker.post("/api/photos", content=b"<html>", headers={"content-type": "text/html"})
    assert bad.status_code == 415
    assert asker.get("/api/photos/none").status_code == 404


@pytest.mark.parametrize(
    ("body", "status", "code"),
    [
        ({"text": "# Nothing\n", "who": "R. M."}, 400, "sheet.empty"),
        ({"text": LYE, "who": " "}, 400, "notebook.nobody"),
    ],
)
def test_a_run_that_cannot_begin_says_why(asker, body, status, code):
    answer = asker.post("/api/runs", json=body)
    assert (answer.status_code, answer.json()["problem"]["code"]) == (status, code)


def test_a_run_that_is_not_there_is_said_to_be_missing(asker):
    for path in ("/api/runs/none", "/api/runs/none/again"):
        assert asker.get(path).status_code == 404
    answer = asker.post("/api/runs/none/readings", json={"readings": [sent("a")]})
    assert answer.status_code == 404


def test_the_page_is_there(asker):
    assert "Bench" in asker.get("/bench").text


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner),
    max_leaves=5,
)


@given(st.dictionaries(
    st.sampled_from(["key", "kind", "text", "at", "who", "step", "corrects", "reason", "photo"]),
    json_values | st.sampled_from([k.value for k in Kind]),
))  # fmt: skip
def test_anything_sent_becomes_a_reading_with_its_text(thing):
    reading, _ = reading_of(json.loads(json.dumps(thing, default=str)) if thing else thing)
    assert isinstance(reading, Reading)
    assert reading.text == str(thing.get("text") or "") or thing.get("text") is not None
