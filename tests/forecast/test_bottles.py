"""A sheet names a bottle: its strength and spread are those of the bottle, and that is said."""

from __future__ import annotations

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.forecast.records import Bottle
from firstcrop.problems import Severity
from firstcrop.quantity.read import read_strength
from firstcrop.run import check_sheet, forecast_sheet
from firstcrop.sheet.read import read_sheet
from firstcrop.sheet.write import write_sheet

SHEET = """# Neutral

## Materials

| name | substance | strength | bottle |
|---|---|---|---|
| acid | battery acid | {strength} | {bottle} |
| lye | sodium hydroxide | 10 ± 0 % w/w | |

## Vessels

- beaker: 400 mL beaker

## Steps

1. Put 100 g of lye in the beaker.
2. Add ? mL of acid to pH 7.
"""
WIDE = Bottle("acid 1", "sulfuric acid", read_strength("35 ± 2 % w/w"), "label", "the label")
NARROW = Bottle("acid 1", "sulfuric acid", read_strength("34.6 ± 0.2 % w/w"), "titrated", "assay")


def told(*bottles, strength="", bottle="Acid  1", bands=True):
    text = SHEET.format(strength=strength, bottle=bottle)
    return forecast_sheet(text, load_bank(), bands, bottles=bottles)


def codes(forecast):
    return {p.code: p for p in forecast.problems}


def test_the_strength_is_that_of_the_bottle_and_the_list_of_sources_says_so():
    forecast = told(WIDE)
    assert forecast.preparation.materials[0].strength == WIDE.strength
    row = forecast.rests_on[0]
    assert (row.label, row.source) == ("strength of acid, bottle acid 1", "label; the label")
    assert codes(forecast)["bottle.strength"].severity is Severity.NOTE
    assert not any(p.severity is Severity.ERROR for p in forecast.problems)


def test_the_band_of_the_blank_narrows_with_the_bottle():
    """The acid's spread is the only one of weight: from ±5.7 % to ±0.6 %."""
    wide, narrow = (told(b).blanks[0].number for b in (WIDE, NARROW))
    assert (wide.high - wide.low) > 4.0 * (narrow.high - narrow.low) > 0.0
    assert wide.low < narrow.value < wide.high


def test_the_bottle_goes_before_what_the_sheet_says():
    forecast = told(NARROW, strength="10 % w/w", bands=False)
    assert forecast.preparation.materials[0].strength == NARROW.strength
    assert "bottle.instead" in codes(forecast)


@pytest.mark.parametrize(
    ("strength", "severity"), [("", Severity.ERROR), ("35 % w/w", Severity.WARNING)]
)
def test_a_bottle_that_is_not_there_is_a_problem(strength, severity):
    problem = codes(told(WIDE, strength=strength, bottle="acid 2", bands=False))["bottle.missing"]
    assert problem.severity is severity
    assert problem.hint == "did you mean acid 1?"
    assert problem.line == 7


def test_a_bottle_of_something_else_is_a_problem():
    other = Bottle("acid 1", "hydrogen chloride", read_strength("30 % w/w"))
    assert codes(told(other, bands=False))["bottle.other"].severity is Severity.ERROR


def test_a_strength_nobody_knows_is_a_problem_not_a_guess():
    unknown = Bottle("acid 1", "sulfuric acid", None, "no label, no assay")
    text = SHEET.format(strength="", bottle="acid 1").replace("battery acid", "sulfuric acid")
    problems = {p.code for p in check_sheet(text, load_bank(), (unknown,))}
    assert {"bottle.unknown", "missing strength"} <= problems


def test_the_column_is_printed_back():
    text = SHEET.format(strength="35 % w/w", bottle="acid 1")
    sheet = read_sheet(text).preparation
    assert sheet.materials[0].bottle == "acid 1"
    assert read_sheet(write_sheet(sheet)).preparation == sheet


def test_what_the_run_takes_of_each_material_is_told():
    forecast = told(WIDE, bands=False)
    taken = {t.material: t for t in forecast.taken}
    assert taken["lye"].mass == pytest.approx(0.1)
    assert taken["acid"].volume == pytest.approx(forecast.blanks[0].number.value)
