"""The endpoints with a forecast made by hand in place of the engine."""

from __future__ import annotations

import json
import warnings
from dataclasses import replace
from pathlib import Path

import pytest

from firstcrop.server.app import make_app, parts
from firstcrop.server.engine import Engine
from firstcrop.server.guard import Rules
from firstcrop.views.json import forecast_json
from firstcrop.views.live import live, plain
from firstcrop.views.report import report
from sample_forecast import sample

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

SHAPES = Path(__file__).with_name("shapes.json")
TEXT = "\n".join(sample().preparation.source_lines)


class Hand(Engine):
    """Answers every text with the sample."""

    def quick(self, text, page=""):
        return sample()

    def best(self, text):
        return sample()

    async def with_bands(self, text, gone, page=""):
        return sample()


@pytest.fixture
def asker(tmp_path):
    (tmp_path / "a.md").write_text(TEXT, encoding="utf-8")
    app = make_app(tmp_path, Rules(), Hand())
    with TestClient(app, base_url="http://127.0.0.1:8000") as made:
        yield made


def shape(value):
    """Keys and kinds of a document, lists by their first entry."""
    if isinstance(value, dict):
        return {key: shape(entry) for key, entry in value.items()}
    if isinstance(value, list):
        return [shape(value[0])] if value else []
    return type(value).__name__


ASKED = (
    ("GET", "/api/sheets", None),
    ("GET", "/api/sheets/a.md", None),
    ("GET", "/api/demo", None),
    ("POST", "/api/forecast", {"text": TEXT}),
    ("POST", "/api/bands", {"text": TEXT}),
    ("POST", "/api/working", {"text": TEXT, "line": 8}),
    ("POST", "/api/inputs", {"text": TEXT}),
    ("PUT", "/api/sheets/new.md", {"text": "x", "seen": ""}),
    ("PUT", "/api/sheets/a.md", {"text": "x", "seen": "old"}),
    ("GET", "/api/sheets/none.md", None),
)


@pytest.mark.parametrize(("method", "path", "body"), ASKED)
def test_every_answer_keeps_its_shape(asker, method, path, body):
    """`shapes.json` pins the keys; a renamed key must be renamed there and in docs/api.md."""
    found = asker.request(method, path, json=body) if body else asker.request(method, path)
    known = json.loads(SHAPES.read_text(encoding="utf-8"))
    key = f"{method} {path} {found.status_code}"
    assert shape(found.json()) == known[key]


def test_the_page_shows_the_rows_the_command_shows(asker):
    """What it rests on comes with the bands, its long list in the JSON document only."""
    banded = asker.post("/api/bands", json={"text": TEXT}).json()
    assert banded["report"] == plain(replace(report(sample()), basis=()))
    quick = asker.post("/api/forecast", json={"text": TEXT}).json()
    assert quick["report"] == plain(report(sample(), basis=False))
    document = asker.post("/api/document", json={"text": TEXT}).json()
    expected = json.loads(json.dumps(forecast_json(sample(), document["program"])))
    assert document == expected


def test_marks_stand_at_the_words(asker):
    found = plain(live(sample(), True))
    for mark in found["marks"]:
        assert mark["length"] >= 1
    filling = found["fillings"][0]
    line = TEXT.split("\n")[filling["line"] - 1]
    assert line[filling["column"] - 1] == "?"
    assert filling["answer"]


def test_the_picture_has_the_width_and_the_colours_asked_for(asker):
    light = asker.post("/api/picture", json={"text": TEXT, "width": 300, "dark": False}).json()
    dark = asker.post("/api/picture", json={"text": TEXT, "width": 300, "dark": True}).json()
    assert {lane["width"] for lane in light["lanes"]["vconcat"]} == {300}
    assert light["lanes"]["background"] == "transparent"
    assert light["lanes"]["config"] != dark["lanes"]["config"]
    assert all(0.0 <= moment["x"] <= 1.0 for moment in light["moments"])
    assert "http" not in json.dumps(light)


def test_rows_stand_apart_from_the_picture_so_that_they_can_be_changed_alone(asker):
    found = asker.post("/api/picture", json={"text": TEXT, "width": 300}).json()
    for spec, rows in ((found["lanes"], found["rows"]),
                       *((w["spec"], w["rows"]) for w in found["windows"])):  # fmt: skip
        text = json.dumps(spec)
        assert '"values": [{' not in text
        assert rows
        assert all(f'"data": {{"name": "{name}"}}' in text for name in rows)


def test_an_answer_says_what_took_its_time(asker):
    """bench/page.py reads it."""
    found = asker.post("/api/forecast", json={"text": TEXT})
    parts = dict(p.split(";dur=") for p in found.headers["server-timing"].split(", "))
    assert set(parts) == {"queue", "forecast", "rows"}
    assert all(float(ms) >= 0.0 for ms in parts.values())


def test_every_page_is_over_the_same_base(asker):
    """Each part of the header leads to a page that has the header and marks itself in it."""
    for part in parts():
        page = asker.get(part.path)
        assert page.status_code == 200
        assert page.text.count('aria-current="page"') == 1
        assert f'<a href="{part.path}" aria-current="page">{part.name}</a>' in page.text
        for other in parts():
            assert f'<a href="{other.path}"' in page.text


@pytest.mark.parametrize(
    ("content", "kind", "status"),
    [
        (b"{}", "text/plain", 400),
        (b"{", "application/json", 400),
        (b"[1]", "application/json", 400),
        (b"[" * 100_000, "application/json", 400),
    ],
)
def test_what_is_no_request_is_refused(asker, content, kind, status):
    found = asker.post("/api/forecast", content=content, headers={"content-type": kind})
    assert found.status_code == status
    assert found.json()["problem"]["code"] == "request.bad"


def test_a_body_without_a_length_is_counted(asker):
    def parts():
        for _ in range(20):
            yield b"x" * 100_000

    headers = {"content-type": "application/json"}
    found = asker.post("/api/forecast", content=parts(), headers=headers)
    assert found.status_code == 413


@pytest.mark.parametrize("name", ["..%2Fsecret.md", "%2Fetc%2Fpasswd", "..%5Cx.md", "a.txt"])
def test_no_name_leads_out_of_the_folder(asker, tmp_path, name):
    (tmp_path.parent / "secret.md").write_text("secret", encoding="utf-8")
    for found in (asker.get(f"/api/sheets/{name}"),
                  asker.put(f"/api/sheets/{name}", json={"text": "x", "seen": ""})):  # fmt: skip
        assert found.status_code in (400, 404, 405)
        assert "secret" not in found.text
    assert (tmp_path.parent / "secret.md").read_text(encoding="utf-8") == "secret"
    assert asker.get("/static/..%2Fapp.py").status_code == 404


def test_both_texts_come_with_a_clash(asker):
    found = asker.put("/api/sheets/a.md", json={"text": "mine", "seen": "old"})
    assert found.status_code == 409
    assert found.json()["there"]["text"] == TEXT


def test_the_token_is_taken_once_and_kept_from_scripts(tmp_path):
    app = make_app(tmp_path, Rules(token="right"), Hand())
    asker = TestClient(app, base_url="http://127.0.0.1:8000", follow_redirects=False)
    assert "token" in asker.get("/enter").text
    assert asker.get("/enter?token=wrong").status_code == 401
    entered = asker.get("/enter?token=right")
    assert entered.headers["location"] == "/"
    cookie = entered.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie
    assert asker.get("/").status_code == 200
