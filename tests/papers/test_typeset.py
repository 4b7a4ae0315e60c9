"""Every template is set; whatever stands in a sheet is printed as text."""

from __future__ import annotations

import io
import re
from functools import cache
from importlib.resources import files

import pytest
from pypdf import PdfReader

from cli.notebook_sample import SALTPETRE, make_run, store_of
from firstcrop import desk
from firstcrop.account.study import study
from firstcrop.bank.bank import load_bank
from firstcrop.bank.hazards import load_statements
from firstcrop.notebook.book import find_run
from firstcrop.papers.typeset import typeset
from firstcrop.problems import Problem
from firstcrop.run import forecast_sheet, review_forecast
from sample_sheets import ALUM

HOSTILE = '#panic("x") $x^2$ *bold* _it_ `code` "quoted" \\ @ref <label> // # [x]'
LONG = "W" * 300
PIXEL = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="10" height="10"><path d="M0 0h9v9z"/></svg>'
)


def text_of(pdf: bytes | Problem) -> str:
    """The text of a PDF, its spaces made one."""
    assert isinstance(pdf, bytes), pdf
    pages = PdfReader(io.BytesIO(pdf)).pages
    words = " ".join(page.extract_text() for page in pages).replace("\u200b", "")
    return " ".join(words.split())


def squeezed(text: str) -> str:
    """Without spaces, and with straight quotes: where lines break is the setter's business."""
    return re.sub(r"\s", "", text)


@cache
def papers(sheet: str, folder: str) -> dict[str, str]:
    return {
        "run-sheet": text_of(desk.run_sheet_pdf(sheet, "2026-03-01")),
        "labels": text_of(desk.labels_pdf(sheet, "run 4f", "2026-03-01", "R. M.")),
    }


def report_of(tmp_path, sheet: str) -> str:
    kept = make_run(tmp_path, sheet)
    store = store_of(tmp_path)
    found = find_run(store, kept.id)
    assert not isinstance(found, Problem)
    run, entries = found
    pdf = desk.report_pdf(store, run, entries, study(sheet, load_bank()))
    store.close()
    return text_of(pdf)


def test_the_report_holds_method_readings_yield_and_digest(tmp_path):
    said = report_of(tmp_path, SALTPETRE)
    for wanted in ("Saltpetre, cleaned", "Makes potassium nitrate", "43.50 g", "of theory",
                   "as weighed", "70 °C", "clear, # nothing at the bottom", "R. M.",
                   "Cool to 15 °C in cold water over 30 min", "digest", "Sources"):  # fmt: skip
        assert squeezed(wanted) in squeezed(said), wanted


def test_the_run_sheet_holds_the_steps_and_what_to_expect():
    said = text_of(desk.run_sheet_pdf(ALUM, "2026-03-01"))
    for wanted in ("Hardening alum from ring-pulls", "85 ± 2 % w/w, rest water", "portions",
                   "keeping below 28 °C", "2026-03-01", "Before you begin"):  # fmt: skip
        assert wanted in said, wanted


def test_labels_hold_signal_word_statements_and_whose_they_are():
    said = text_of(desk.labels_pdf(ALUM, "run 4f", "2026-03-01", "R. M."))
    assert "Danger" in said
    assert "H314 Causes severe skin burns and eye damage" in said
    assert "H302" in said
    assert "P280" in said
    assert said.count("2026-03-01, R. M.") >= 4


def test_every_pictogram_a_label_can_name_is_there():
    there = {p.name for p in (files("firstcrop.papers") / "pictograms").iterdir()}
    named = {p for row in load_statements().values() for p in (row.pictogram,) if p}
    assert named
    assert {f"{name}.svg" for name in named} <= there
    told = forecast_sheet(ALUM, load_bank(), with_bands=False)
    labels = review_forecast(told, load_bank()).labels
    assert {p for label in labels for p in label.pictograms} >= {"GHS05", "GHS02"}


def test_nothing_on_a_label_is_cut_off():
    """As many precautions are printed as the rows hold, whatever their length."""
    row = {
        "name": "strong stuff", "holds": "this and that", "signal": "Danger",
        "pictograms": ["GHS05", "GHS06"], "hazards": [f"H3{i:02d} {LONG}" for i in range(6)],
        "precautions": [f"P2{i:02d} does harm in very many ways" for i in range(12)],
        "gaps": ["Not told: everything"], "code": "", "made": "the end",
    }  # fmt: skip
    said = text_of(typeset("labels", {"labels": [row, row, row]}))
    assert said.count("P211 does harm") == 3
    assert said.count("the end") == 3


@pytest.mark.parametrize("template", ["run-sheet", "labels"])
def test_markup_in_a_sheet_is_printed_as_text(template, tmp_path):
    sheet = ALUM.replace("Hardening alum from ring-pulls", f"Alum {HOSTILE}", 1)
    said = papers(sheet, str(tmp_path))[template]
    assert squeezed('#panic("x")') in squeezed(said)
    assert "$x^2$" in said


def test_markup_in_a_title_and_a_note_is_printed_as_text_in_the_report(tmp_path):
    sheet = SALTPETRE.replace("Saltpetre, cleaned", f"Salt {HOSTILE} {LONG}", 1)
    said = squeezed(report_of(tmp_path, sheet))
    assert squeezed('#panic("x")') in said
    assert "$x^2$" in said
    assert "W" * 20 in said


@pytest.mark.parametrize(
    "path", [p.name for p in files("firstcrop.papers").iterdir() if p.name.endswith(".typ")]
)
def test_every_template_is_one_the_tests_set(path):
    assert path in {"common.typ", "labels.typ", "report.typ", "run-sheet.typ"}


@pytest.mark.parametrize("template", ["run-sheet", "labels"])
def test_a_very_long_word_is_broken_and_stays_on_the_page(template, tmp_path):
    sheet = ALUM.replace("Hardening alum from ring-pulls", LONG, 1)
    assert squeezed(papers(sheet, str(tmp_path))[template]).count("W") >= 300
    made = {
        "run-sheet": lambda: desk.run_sheet_pdf(sheet, "2026-03-01"),
        "labels": lambda: desk.labels_pdf(sheet, "x", "2026-03-01"),
    }
    pdf = made[template]()
    assert isinstance(pdf, bytes)
    lines: list[str] = []
    for page in PdfReader(io.BytesIO(pdf)).pages:
        lines += page.extract_text().splitlines()
    assert max(line.count("W") for line in lines) < 100


def test_a_picture_that_is_none_is_a_problem_and_not_a_crash():
    rows = {"labels": [{
        "name": "a", "holds": "", "signal": "", "pictograms": [], "hazards": [], "precautions": [],
        "gaps": [], "code": "bad.png", "made": "",
    }]}  # fmt: skip
    found = typeset("labels", rows, {"bad.png": b"nothing"})
    assert isinstance(found, Problem)
    assert found.code == "papers.unset"
    assert isinstance(typeset("labels", rows, {"bad.png": PIXEL}), bytes | Problem)


def test_no_label_says_so():
    assert "nothing to label" in text_of(typeset("labels", {"labels": []}))


def test_a_sheet_without_steps_or_a_refused_one_is_not_printed():
    empty = desk.run_sheet_pdf("# Nothing\n", "2026-03-01")
    assert isinstance(empty, Problem)
    assert empty.code == "papers.empty"
    assert isinstance(desk.labels_pdf("# Nothing\n", "sheet", "2026-03-01"), Problem)
