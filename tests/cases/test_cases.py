"""Published runs beside their forecasts.

Each sheet here names its source, and says what that leaves out and what is assumed instead. A
temperature agrees within 1 K or a tenth of the rise, the measure this project sets itself (a
student's thermometer, cup and clock are not in the sheet). Any other outcome agrees when its band
and the forecast's overlap. One that does not is listed in `misses.tsv` with the reason we believe,
and must leave the list as soon as it agrees.
"""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.forecast.records import Comparison, Forecast
from firstcrop.problems import Severity
from firstcrop.run import forecast_sheet
from firstcrop.sheet.read import read_sheet

HERE = Path(__file__).parent
SHEETS = tuple(sorted(HERE.glob("*.md")))
SILENT = ("15-mohrs-salt",)  # its source prints no outcome; it must forecast all the same


@cache
def forecast(path: Path) -> Forecast:
    return forecast_sheet(path.read_text(encoding="utf-8"), load_bank())


@cache
def misses() -> dict[tuple[str, str], str]:
    with (HERE / "misses.tsv").open(encoding="utf-8", newline="") as file:
        rows = csv.DictReader((row for row in file if not row.startswith("#")), delimiter="\t")
        return {(row["sheet"], row["observed"]): row["reason"] for row in rows}


def observations() -> list[tuple[Path, int, str]]:
    found = []
    for path in SHEETS:
        observed = read_sheet(path.read_text(encoding="utf-8")).preparation.observed
        found += [(path, i, o.text) for i, o in enumerate(observed)]
    return found


def name(case: object) -> str:
    return case.stem if isinstance(case, Path) else str(case)


@pytest.mark.parametrize("path", SHEETS, ids=name)
def test_every_case_names_its_source_and_is_read_without_a_mistake(path):
    text = path.read_text(encoding="utf-8")
    assert "Source:" in text
    assert "Left out" in text or "loses no heat" in text
    assert read_sheet(text).problems == ()
    assert ("## Observed" in text) == (path.stem not in SILENT)


@pytest.mark.parametrize("path", SHEETS, ids=name)
def test_every_case_is_forecast_whole(path):
    told = forecast(path)
    errors = [p for p in told.problems if p.severity is Severity.ERROR]
    assert errors == []
    assert not told.refused
    assert len(told.steps) == len(told.preparation.steps)
    assert len(told.comparisons) == len(told.preparation.observed)


@pytest.mark.parametrize("path", SHEETS, ids=name)
def test_the_books_of_every_case_close(path):
    balances = forecast(path).balances
    assert balances
    assert max(abs(balance.gap) for balance in balances) < 1e-9


@pytest.mark.parametrize(("path", "index", "text"), observations(), ids=name)
def test_the_outcome_agrees_or_is_a_known_miss(path, index, text):
    comparison = forecast(path).comparisons[index]
    reason = misses().get((path.stem, comparison.text))
    number = comparison.forecast
    told = f"{text}: observed {comparison.observed:.6g}, forecast {number.value:.6g} "
    told += f"({number.low:.6g} to {number.high:.6g}) {number.unit} {number.why}"
    if reason is None:
        assert agrees(path, index, comparison), told
    else:
        assert not agrees(path, index, comparison), f"{told}: agrees, take it off the misses"


def agrees(path: Path, index: int, comparison: Comparison) -> bool:
    if comparison.forecast.unit != "K":
        return comparison.inside
    told = forecast(path)
    step = told.steps[told.preparation.observed[index].step - 1]
    rise = abs(comparison.observed - step.start.temperature)
    return abs(comparison.observed - comparison.forecast.value) <= max(1.0, 0.1 * rise)


def test_every_listed_miss_belongs_to_a_sheet_and_has_a_reason():
    known = {(path.stem, text) for path, _, text in observations()}
    assert set(misses()) - known == set()
    assert all(len(reason) > 20 for reason in misses().values())
