"""Cautions that rest on a forecast's numbers, on sheets that are really forecast."""

from __future__ import annotations

import pytest

from firstcrop.forecast.records import Forecast
from firstcrop.run import forecast_sheet, review_forecast

from .sheets import BANK
from .test_table import GRADES, rows, written

ROWS = rows("computed")


def told(row: list[str]) -> Forecast:
    _, steps, materials, reactions, vessel, *_ = row
    return forecast_sheet(written(steps, materials, reactions, vessel), BANK, with_bands=False)


@pytest.mark.parametrize("row", ROWS, ids=[row[0] for row in ROWS])
def test_what_the_numbers_call_for(row: list[str]) -> None:
    found = told(row)
    assert found.steps
    *_, code, severity, wanted = row
    grades = [GRADES.index(c.severity.value) for c in found.cautions if c.code.startswith(code)]
    worst, asked = max(grades, default=0), GRADES.index(severity)
    assert worst >= asked if wanted == "raise" else worst <= asked


def test_a_review_of_a_computed_sheet_holds_together() -> None:
    """Heat, air, labels, care and what to do afterwards, of foil in lye, with its numbers."""
    row = next(r for r in ROWS if r[0].startswith("hydrogen from foil"))
    found = told(row)
    review = review_forecast(found, BANK)
    assert review.cautions == found.cautions
    case = next(c for c in review.heat if c.step == 3)
    held = found.steps[2].inside[-1]
    pending = held.pending[0]
    assert case.waiting == pytest.approx(pending.amount * pending.heat)
    assert case.rise == pytest.approx(case.waiting / held.heat_capacity)
    assert case.severity == "medium"
    assert "decomposition data not known" in case.criticality
    left = found.steps[-1].inside[-1].pending[0].amount
    hydrogen = sum(c.amount for c in review.air if c.gas == "H2")
    assert hydrogen + 3.0 * left == pytest.approx(1.5 * 2.7 / 26.98, rel=0.03)  # of the aluminium
    assert any("alkali" in a.words for a in review.after)
    assert review.after[-1].words.startswith("Follow local rules")
    assert any("goggles" in " ".join(c.wear) for c in review.care)
    label = next(x for x in review.labels if x.kind == "liquor")
    assert "H314" in label.codes  # by its pH
