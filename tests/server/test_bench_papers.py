"""What a run leaves on paper, over the endpoints; a sheet's bottles stand on the folder's shelf."""

from __future__ import annotations

import io
import warnings
import zipfile

import pytest
from pypdf import PdfReader

from cli.notebook_sample import SALTPETRE, make_run
from firstcrop.cli.entry import run as command
from firstcrop.server.app import make_app
from firstcrop.server.guard import Rules

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

SHELVED = SALTPETRE.replace("| strength | notes |", "| bottle | notes |").replace(
    "92 ± 6 % w/w | damp", "salt 1 | damp"
)


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.delenv("FIRSTCROP_DB", raising=False)
    return tmp_path


def asked(folder, path):
    with TestClient(make_app(folder, Rules()), base_url="http://127.0.0.1:8000") as asker:
        answer = asker.get(path)
    assert answer.status_code == 200, answer.text
    return answer


@pytest.mark.parametrize("name", ["report.pdf", "sheet.pdf", "labels.pdf"])
def test_papers_are_answered_as_pdf(folder, name):
    kept = make_run(folder)
    answer = asked(folder, f"/api/runs/{kept.id}/{name}")
    assert answer.headers["content-type"] == "application/pdf"
    assert "altpetre" in PdfReader(io.BytesIO(answer.content)).pages[0].extract_text()


def test_files_are_answered(folder):
    kept = make_run(folder)
    files = zipfile.ZipFile(io.BytesIO(asked(folder, f"/api/runs/{kept.id}/files.zip").content))
    assert f"{kept.id}/sheet.md" in files.namelist()
    assert "- crop: 43.5 g" in asked(folder, f"/api/runs/{kept.id}/observed.md").text


def test_the_account_stands_on_the_bottle_the_sheet_names(folder):
    words = ("--folder", str(folder), "add", "salt 1", "potassium nitrate")
    assert command(["shelf", *words, "--size", "1 kg", "--strength", "92 ± 6 % w/w"]) == 0
    written = make_run(folder)
    named = make_run(folder, SHELVED, "shelved.md")
    known = asked(folder, f"/api/runs/{written.id}/account").json()
    found = asked(folder, f"/api/runs/{named.id}/account").json()
    assert found["theory"] == known["theory"]
    assert found["second_crop"] == known["second_crop"] != ""
    lessons = asked(folder, f"/api/runs/{named.id}/again").json()["lessons"]
    assert any("strength" in row["label"] for row in lessons)
