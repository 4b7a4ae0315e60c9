"""Bad sheets through the whole chain: a Problem each, no traceback, the rest still forecast."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.cli.lines import plain
from firstcrop.cli.pages import report_page
from firstcrop.problems import Severity
from firstcrop.run import check_sheet, forecast_sheet
from firstcrop.views.report import report

SHEET = Path(__file__).parents[2] / "sheets" / "hardening-alum.md"
ERROR, WARNING = Severity.ERROR, Severity.WARNING

CASES = (
    ("unbalanced equation", "6 H2O ->", "5 H2O ->", ERROR, "does not balance"),
    ("unknown substance", "| aluminium |", "| alumnium |", ERROR, "Did you mean aluminium"),
    ("unknown material", "of caustic potash", "of caustic potsh", ERROR, "caustic potash"),
    ("missing strength", "| 30 ± 1 % w/w |", "|  |", ERROR, "which one is this"),
    ("impossible strength", "30 ± 1 % w/w", "130 % w/w", ERROR, "130 % w/w is impossible"),
    ("negative amount", "Put 80 mL", "Put -80 mL", ERROR, "cannot be negative"),
    ("zero amount", "Add 2.7 g", "Add 0 g", ERROR, "0 g of ring-pulls"),
    ("contradictory limits", "below 80 °C", "below 80 °C and above 90 °C", ERROR, "contradict"),
    ("blank without solution", "to pH 2.5", "to pH 13.5", ERROR, "never to pH 13.5"),
    ("limit already passed", "below 26 °C", "below 15 °C", ERROR, "the limit is 15 °C"),
    ("vessel too small", "- beaker: 600 mL", "- beaker: 50 mL", WARNING, "holds 72 mL"),
    ("no such verb", "Heat to 50 °C.", "Frobnicate to 50 °C.", ERROR, "no operation is called"),
    ("wrong unit", "over 40 min", "over 40 mL", ERROR, "over 20 min"),
    ("too hot", "Heat to 50 °C", "Heat to 5000 °C", ERROR, "it boils at"),
    ("below absolute zero", "Cool to 5 °C", "Cool to -400 °C", ERROR, "below absolute zero"),
    ("a tonne of metal", "2.7 g of ring-pulls", "2700 kg of ring-pulls", WARNING, "that holds"),
    ("unknown target", "potash alum, KAl(SO4)2·12H2O", "unobtainium", WARNING, "no yield"),
)


@pytest.mark.parametrize(
    ("old", "new", "severity", "words"), [case[1:] for case in CASES], ids=[c[0] for c in CASES]
)
def test_a_bad_sheet_gives_a_problem_in_the_writers_terms(old, new, severity, words):
    text = SHEET.read_text(encoding="utf-8")
    assert old in text
    told = forecast_sheet(text.replace(old, new), load_bank(), with_bands=False)
    found = [f"{p.message} {p.hint}" for p in told.problems if p.severity is severity]
    assert any(words in problem for problem in found), found
    assert plain(report_page(report(told), 80))


NOISE = os.urandom(4000).decode("latin-1")


@pytest.mark.parametrize(
    "text",
    ["", "\n\n", "# Only a title\n", "plain words\n" * 500, NOISE, "| a | b |\n" * 300],
    ids=["empty", "blank", "title", "prose", "noise", "bars"],
)
def test_what_is_no_sheet_is_said_so(text):
    told = forecast_sheet(text, load_bank())
    assert told.problems
    assert not told.crops
    assert plain(report_page(report(told), 80)) or not told.preparation.title
    assert check_sheet(text, load_bank())


def test_the_demo_sheet_itself_is_clean():
    text = SHEET.read_text(encoding="utf-8")
    assert [p for p in check_sheet(text, load_bank()) if p.severity is not Severity.NOTE] == []
