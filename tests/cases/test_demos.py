"""The demo preparations: forecast whole, books closed, every working adds up to its number."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import fields
from functools import cache
from pathlib import Path

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.forecast.records import Crop, Forecast, Number, StepForecast
from firstcrop.problems import Severity
from firstcrop.run import forecast_sheet

SHEETS = tuple(sorted((Path(__file__).parents[2] / "sheets").glob("*.md")))


@cache
def forecast(path: Path) -> Forecast:
    return forecast_sheet(path.read_text(encoding="utf-8"), load_bank())


def numbers(told: Forecast) -> Iterator[Number]:
    """Every number of a forecast."""
    records: list[StepForecast | Crop] = [*told.steps, *told.crops]
    for record in records:
        for field in fields(record):
            value = getattr(record, field.name)
            if isinstance(value, Number):
                yield value
    yield from (blank.number for blank in told.blanks)
    if told.theory:
        yield told.theory


@pytest.mark.parametrize("path", SHEETS, ids=lambda p: p.stem)
def test_a_demo_is_forecast_whole(path):
    told = forecast(path)
    assert [p for p in told.problems if p.severity is Severity.ERROR] == []
    assert len(told.steps) == len(told.preparation.steps)
    assert told.crops
    assert told.cautions
    assert told.rests_on


@pytest.mark.parametrize("path", SHEETS, ids=lambda p: p.stem)
def test_the_books_of_a_demo_close(path):
    kinds = {balance.quantity for balance in forecast(path).balances}
    assert {"energy", "mass", "charge"} <= kinds
    assert max(abs(balance.gap) for balance in forecast(path).balances) < 1e-9


@pytest.mark.parametrize("path", SHEETS, ids=lambda p: p.stem)
def test_workings_add_up_to_the_numbers_shown(path):
    worked = [n for n in numbers(forecast(path)) if n.working and n.working.how != "solve"]
    assert len(worked) > len(forecast(path).steps)
    for number in worked:
        assert number.working is not None
        values = [term.value for term in number.working.terms]
        product = number.working.how == "product"
        result = math.prod(values) if product else math.fsum(values)
        size = max(map(abs, (number.value, *values)))
        assert result == pytest.approx(number.value, rel=1e-9, abs=1e-9 * size)


@pytest.mark.parametrize("path", SHEETS, ids=lambda p: p.stem)
def test_bands_hold_their_value(path):
    for number in numbers(forecast(path)):
        if math.isfinite(number.value):
            assert number.low <= number.value <= number.high


@pytest.mark.parametrize("path", SHEETS, ids=lambda p: p.stem)
def test_what_is_invented_is_said_so(path):
    text = path.read_text(encoding="utf-8")
    assert "invented" in text.split("## Materials")[0]


def test_one_demo_has_gas_heat_neutralisation_and_a_second_crop():
    told = forecast(next(p for p in SHEETS if p.stem == "hardening-alum"))
    assert len(told.crops) == 2
    assert max(step.gas_volume.value for step in told.steps) > 1e-3
    assert any(step.limits for step in told.steps)
    assert any("mL" in blank.text for blank in told.blanks)
    assert any("portion" in blank.text for blank in told.blanks)
