"""Filled and scaled sheets: the numbers change, every other character stays."""

from __future__ import annotations

import pytest

from firstcrop.problems import Place, Problem
from firstcrop.quantity.records import Quantity
from firstcrop.sheet.read import read_sheet
from firstcrop.sheet.records import Blank
from firstcrop.sheet.rewrite import (
    Edit,
    clauses,
    edited,
    filled,
    rounded,
    scaled,
    total_of,
    with_remark,
)

TEXT = """# Alum

Makes potash alum, KAl(SO4)2·12H2O.

## Materials

| name | substance | strength | notes |
|---|---|---|---|
| ring-pulls | aluminium | 97 ± 1 % w/w, rest inert | |
| lye | potassium hydroxide | 3.0 mol/L | |
| acid | sulfuric acid | 30 % w/w | |

## Vessels

- beaker: 400 mL low-form beaker

## Steps

1. Put 60 mL of lye in the beaker.
2. Add 2.70 ± 0.05 g of ring-pulls in ? portions, keeping below 60 °C.
3. Add 5 drops of acid. Add ? mL of acid to pH 2.5 over 15 min.
4. Dissolve 1 g of ring-pulls in 10 mL of lye at 40 °C.
5. Boil down to 50 mL on a 300 W hotplate.

## Observed

- crop: 29.8 g

## Remarks

Kept.
"""


@pytest.fixture
def sheet():
    reading = read_sheet(TEXT)
    assert reading.problems == ()
    return reading.preparation


def double(form: str, volume: float) -> float:
    return 800e-6


def test_edits_of_one_line_do_not_shift_each_other():
    assert edited(("abcdef",), [Edit(1, 2, 1, "XX"), Edit(1, 5, 1, "")]) == ("aXXcdf",)


def test_a_scaled_sheet_reads_as_the_same_sheet_with_other_amounts(sheet):
    lines = scaled(sheet, 2.0, double)
    reading = read_sheet("\n".join(lines))
    assert reading.problems == ()
    before = [c.amount for c in clauses(sheet)]
    after = [c.amount for c in clauses(reading.preparation)]
    for old, new in zip(before, after, strict=True):
        if isinstance(old, Quantity):
            assert isinstance(new, Quantity)
            assert new.value == pytest.approx(2.0 * old.value)
            assert new.band == pytest.approx(2.0 * old.band)
        else:
            assert isinstance(new, Blank | None)


def test_only_amounts_and_vessels_change(sheet):
    text = "\n".join(scaled(sheet, 2.0, double))
    assert "1. Put 120 mL of lye in the beaker." in text
    assert "2. Add 5.4 ± 0.1 g of ring-pulls in ? portions, keeping below 60 °C." in text
    assert "3. Add 10 drops of acid. Add ? mL of acid to pH 2.5 over 15 min." in text
    assert "4. Dissolve 2 g of ring-pulls in 20 mL of lye at 40 °C." in text
    assert "5. Boil down to 100 mL on a 300 W hotplate." in text
    assert "- beaker: 800 mL low-form beaker" in text
    assert "| ring-pulls | aluminium | 97 ± 1 % w/w, rest inert | |" in text


def test_what_was_observed_belongs_to_the_run_as_it_was(sheet):
    text = "\n".join(scaled(sheet, 2.0, double))
    assert "Observed" not in text
    assert "29.8" not in text
    assert text.endswith("## Remarks\n\nKept.")


def test_scaling_by_one_changes_no_amount(sheet):
    again = read_sheet("\n".join(scaled(sheet, 1.0, lambda form, volume: volume))).preparation
    assert [s.clauses for s in again.steps] == [s.clauses for s in sheet.steps]


def test_scaled_amounts_keep_three_figures_or_those_written(sheet):
    text = "\n".join(scaled(sheet, 1.23456, double))
    assert "74.1 mL of lye" in text
    assert "3.33 ± 0.062 g" in text
    assert "6 drops" in text


@pytest.mark.parametrize("factor", [0.0, -1.0, float("nan"), float("inf")])
def test_a_scale_is_positive_and_finite(sheet, factor):
    with pytest.raises(ValueError, match="positive"):
        scaled(sheet, factor, double)


def blanks(sheet):
    for clause in clauses(sheet):
        for value in (clause.amount, clause.portions):
            if isinstance(value, Blank):
                yield value


def test_blanks_are_filled_in_place(sheet):
    places = [blank.place for blank in blanks(sheet)]
    lines = filled(sheet.source_lines, zip(places, ("6 portions", "112 mL"), strict=True))
    text = "\n".join(lines)
    assert "in 6 portions, keeping below 60 °C." in text
    assert "Add 112 mL of acid to pH 2.5" in text
    assert "?" not in text
    assert read_sheet(text).problems == ()


def test_an_answer_in_another_unit_replaces_the_unit_too():
    line = "Add ? mL of acid."
    assert filled((line,), [(Place(1, 5, 4), "1.2 L")]) == ("Add 1.2 L of acid.",)


def test_a_ph_is_not_said_twice():
    assert filled(("Add acid to pH ?.",), [(Place(1, 16, 1), "pH 3.2")]) == ("Add acid to pH 3.2.",)


def test_totals_of_a_material(sheet):
    total = total_of(sheet, "ring-pulls")
    assert isinstance(total, Quantity)
    assert total.value == pytest.approx(3.7e-3)
    lye = total_of(sheet, "lye")
    assert isinstance(lye, Quantity)
    assert lye.value == pytest.approx(70e-6)


def test_a_total_with_a_blank_or_of_nothing_is_a_problem(sheet):
    left_open = total_of(sheet, "acid")
    assert isinstance(left_open, Problem)
    assert left_open.code in ("scale.open", "scale.kinds")
    unused = total_of(sheet, "gold")
    assert isinstance(unused, Problem)
    assert "ring-pulls, lye, acid" in unused.hint


def test_a_remark_goes_before_the_first_section(sheet):
    lines = with_remark(sheet.source_lines, "Scaled by 2.")
    assert lines[lines.index("Scaled by 2.") + 2] == "## Materials"


def test_rounding_to_figures():
    assert rounded(0.0117888, 3) == 0.0118
    assert rounded(123456.0, 3) == 123000.0
