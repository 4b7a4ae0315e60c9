"""The rows of a forecast made by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from firstcrop.forecast.records import Balance, Forecast, Limit, Window
from firstcrop.problems import Place, Problem
from firstcrop.sheet.records import Preparation
from firstcrop.views.basis import books_sentence, short_name
from firstcrop.views.cautions import caution_rows
from firstcrop.views.crops import window_sentence
from firstcrop.views.problems import clean, excerpt, problem_row, problem_rows
from firstcrop.views.report import report
from firstcrop.views.steps import limit_row, volume_text
from sample_forecast import ALUM, LINES, number, sample


@pytest.fixture
def rows():
    return report(sample())


def test_a_step_row_holds_what_the_bench_needs(rows):
    step = rows.steps[1]
    assert step.text.startswith("Add 7.0 g of caustic potash")
    assert step.peak.full == "43.7 °C (41.3–46.1)"
    assert step.ends.text == "41.2 °C"
    assert step.volume == "63 of 400 mL"
    assert step.ph.text == "14.10"
    assert step.gas == "1.4 L H2"
    assert step.takes == "14 min"
    assert step.solids == ("4.00 g Al(OH)3",)
    assert step.heat == ("+10.0 kJ dissolving", "−500 J to the room")


def test_without_liquor_there_is_no_ph(rows):
    assert rows.steps[3].ph.text == "–"


def test_a_kept_limit_whose_band_crosses_it_is_not_sure(rows):
    limit = rows.steps[1].limits[0]
    assert limit.kept
    assert not limit.sure
    assert limit.verdict == "kept by 1.3 K, but the band reaches 46.1 °C"


def test_a_broken_limit_says_what_is_reached(rows):
    limit = rows.steps[2].limits[0]
    assert not limit.kept
    assert limit.verdict == "broken by 1.0 K: reaches 4.0 °C"


def test_a_limit_well_kept():
    step = sample().steps[0]
    limit = Limit("below 45 °C", 318.15, 294.15, True, Place(7))
    assert limit_row(limit, step).verdict == "kept, 24.0 K to spare"
    assert limit_row(limit, step).sure


def test_a_vessel_that_may_overflow_is_marked(rows):
    assert [step.crowded for step in rows.steps] == [
        "", "", "the beaker is too small: 410 of 400 mL", ""
    ]  # fmt: skip


def test_a_vessel_that_holds_it_by_the_value_only_may_be_too_small():
    forecast = sample()
    tight = replace(forecast.steps[0], peak_volume=number(395e-6, 1e-5, "m3"))
    page = report(replace(forecast, steps=(tight,)))
    assert page.steps[0].crowded == ("the beaker may be too small: the band reaches 405 of 400 mL")


@pytest.mark.parametrize(
    ("volume", "capacity", "shown"),
    [
        (63e-6, 400e-6, "63 of 400 mL"),
        (4.2e-6, 25e-6, "4.2 of 25 mL"),
        (0.9e-3, 2e-3, "0.90 of 2 L"),
        (63e-6, float("nan"), "63.0 mL"),
        (float("nan"), 1e-3, "–"),
    ],
)
def test_volumes_stand_against_the_vessel(volume, capacity, shown):
    assert volume_text(volume, capacity) == shown


def test_crops_carry_yield_purity_and_companions(rows):
    crop = rows.crops[0]
    assert crop.dry.full == "31.2 g (30.4–32.0)"
    assert crop.yield_ is not None
    assert crop.yield_.text == "73.0 %"
    assert crop.holds == (f"31.0 g {ALUM}", "200 mg K2SO4")


def test_portions_are_whole_numbers(rows):
    assert rows.blanks[0].answer == "6 portions"
    assert rows.blanks[0].band == "6–7"


def test_windows_in_words():
    kelvin = 273.15
    both = Window(3, "A", 6 + kelvin, 52 + kelvin, (("B", 6 + kelvin),))
    assert window_sentence(both) == (
        "only A crystallises between 52.0 °C and 6.0 °C; B joins below that."
    )
    nan = float("nan")
    warm = Window(3, "A", kelvin, 52 + kelvin, (("B", 90 + kelvin),))
    assert window_sentence(warm).endswith("nothing joins it. Hotter, B comes out.")
    free = Window(3, "A", kelvin, 52 + kelvin, ())
    assert window_sentence(free) == (
        "only A crystallises from 52.0 °C down to 0.0 °C, the end of the scan; nothing joins it."
    )
    none = Window(3, "A", nan, 52 + kelvin, (("B", 60 + kelvin),))
    assert window_sentence(none) == "no window for A: B comes out with it from 60.0 °C."
    assert "does not crystallise" in window_sentence(Window(3, "A", nan, nan, ()))


def test_comparisons_say_on_which_side_and_by_how_much(rows):
    crop, share = rows.comparisons
    assert crop.verdict == "outside the band: observed 1.4 g lower"
    assert share.inside
    assert share.forecast.full == "73.0 % (71.0–75.0)"


def test_cautions_come_gravest_first():
    order = [row.severity for row in caution_rows(sample())]
    assert order == ["danger", "warning"]


def test_doubtful_data_come_first(rows):
    order = [row.obtained for row in rows.basis]
    assert order == ["from memory", "from memory", "common practice", "measured"]


def test_points_of_a_curve_are_named_once_and_sources_in_short(rows):
    assert [f"{d.obtained}: {d.words}" for d in rows.doubts] == [
        "from memory: solubility of K2SO4 (2 values)",
        "common practice: drop volume",
    ]
    assert rows.sources == ("Wagman 1982",)
    assert short_name("Handbook of Chemistry and Physics, 98th ed. (CRC Press 2017)") == (
        "Handbook of Chemistry and Physics 2017"
    )
    assert short_name("GHS") == "GHS"


def test_books_that_do_not_close_are_said_so():
    assert "do not close: K is off by 3 %" in books_sentence((Balance("K", 1.0, 0.97, 0.03),))
    assert books_sentence(()) == ""


def test_a_refused_sheet_shows_one_sentence_and_no_numbers():
    refused = replace(sample(), refused="firstcrop does not plan this.")
    page = report(refused)
    assert page.refused == "firstcrop does not plan this."
    assert not page.steps
    assert not page.crops
    assert not page.basis


def test_an_empty_forecast_is_a_report_too():
    page = report(Forecast(Preparation(title="")))
    assert page.steps == ()
    assert page.books == ""


def test_problems_show_the_line_and_a_caret_under_the_word():
    problem = sample().problems[1]
    row = problem_row(problem, LINES)
    assert row.where == "line 8, column 17"
    source, carets = row.excerpt
    start = carets.index("^")
    assert source[start : start + 14] == "caustic potash"
    assert carets.count("^") == 14


def test_a_very_long_line_is_cut_around_the_caret():
    text = "x" * 500 + "WRONG" + "y" * 500
    source, carets = excerpt(Place(1, 501, 5), (text,))
    assert len(source) < 90
    start = carets.index("^")
    assert source[start : start + 5] == "WRONG"


def test_problems_without_a_line_or_beyond_the_sheet_have_no_excerpt():
    assert excerpt(Place(99), LINES) == ()
    assert excerpt(Place(41, file="solids.tsv"), LINES) == ()


def test_a_row_of_the_bank_is_named():
    problem = Problem("range", "outside its range", (Place(8), Place(41, file="solids.tsv")))
    assert problem_row(problem, LINES).where == "line 8, column 1 and bank/solids.tsv:41"


def test_problems_come_in_line_order_and_once():
    twice = (*sample().problems, *sample().problems)
    assert [row.line for row in problem_rows(twice, LINES)] == [8, 9]


def test_control_characters_do_not_reach_a_terminal():
    assert "\x1b" not in clean("a\x1b[31mb")
    assert clean("a\tb") == "a b"


def test_a_dip_below_both_ends_is_shown():
    forecast = sample()
    cold = replace(forecast.steps[0], lowest_temperature=number(285.15, 0.5, "K"))
    page = report(replace(forecast, steps=(cold, *forecast.steps[1:])))
    assert page.steps[0].lowest is not None
    assert page.steps[0].lowest.full == "12.0 °C (11.5–12.5)"
