"""`firstcrop review`, run as a user would."""

from __future__ import annotations

from pathlib import Path

import pytest

from firstcrop.cli.entry import run

SHEETS = Path(__file__).parents[2] / "sheets"


def test_review_prints_cautions_labels_and_what_was_not_assessed(
    capsys: pytest.CaptureFixture[str],
) -> None:
    code = run(["review", str(SHEETS / "hardening-alum.md"), "--width", "100"])
    page = capsys.readouterr().out
    assert code == 0
    for wanted in ("Cautions", "Labels", "Not assessed", "H314", "P280", "hydrogen"):
        assert wanted in page
    assert "is safe" not in page.replace("does not say that the work is safe", "")


def test_a_refused_sheet_says_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheet = tmp_path / "no.md"
    sheet.write_text("# Nitroglycerin\n\n## Steps\n\n1. Stir.\n", encoding="utf-8")
    assert run(["review", str(sheet)]) == 3
    printed = capsys.readouterr().out
    assert len(printed.strip().split(". ")) == 1
    assert "Labels" not in printed
