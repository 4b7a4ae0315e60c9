"""Rounding follows the band; units are of handy size."""

from __future__ import annotations

import math

import pytest

from firstcrop.forecast.records import Number
from firstcrop.views.numbers import (
    decimals_for,
    fixed,
    show_duration,
    show_number,
    show_value,
)


@pytest.mark.parametrize(
    ("value", "half", "unit", "shown"),
    [
        (316.85, 2.4, "K", "43.7 °C (41.3–46.1)"),
        (316.85, 4.6, "K", "44 °C (39–48)"),
        (316.85, 0.0, "K", "43.7 °C"),
        (0.0312, 0.0008, "kg", "31.2 g (30.4–32.0)"),
        (0.0312, 0.00012, "kg", "31.20 g (31.08–31.32)"),
        (1.64e-3, 0.0, "kg", "1.64 g"),
        (4e-5, 0.0, "kg", "40.0 mg"),
        (112e-6, 6e-6, "m3", "112 mL (106–118)"),
        (1.36e-3, 4e-5, "m3", "1.36 L (1.32–1.40)"),
        (0.73, 0.02, "fraction", "73.0 % (71.0–75.0)"),
        (2.5, 0.2, "pH", "2.50 (2.30–2.70)"),
        (-0.35, 0.3, "pH", "−0.35 (−0.65 to −0.05)"),
    ],
)
def test_a_number_is_shown_with_the_digits_its_band_allows(value, half, unit, shown):
    si = "1" if unit in ("fraction", "pH") else unit
    number = Number(value, value - half, value + half, si)
    assert show_number(number, unit if si == "1" else "").full == shown


def test_an_unknown_number_says_so_and_why():
    shown = show_number(Number(math.nan, math.nan, math.nan, "1", why="no liquor"), "pH")
    assert shown.full == "not known"
    assert shown.why == "no liquor"


def test_a_band_without_end_is_not_printed_as_infinity():
    assert "inf" not in show_number(Number(1.0, 0.0, math.inf, "kg")).full


@pytest.mark.parametrize(
    ("half", "decimals"), [(2.4, 1), (4.6, 0), (0.12, 2), (0.5, 1), (14.0, 0), (52.0, -1)]
)
def test_decimals_keep_one_or_two_figures_of_the_band(half, decimals):
    assert decimals_for(half) == decimals


def test_no_band_no_decimals():
    with pytest.raises(ValueError, match="half-width"):
        decimals_for(0.0)


def test_zero_has_no_sign():
    assert fixed(-0.004, 1) == "0.0"
    assert fixed(-3.0, 1) == "−3.0"


@pytest.mark.parametrize(
    ("seconds", "shown"),
    [
        (45, "45 s"),
        (750, "12 min"),
        (3600, "1 h"),
        (4800, "1 h 20 min"),
        (7259, "2 h 01 min"),
        (172800, "2 d"),
        (180000, "2 d 2 h"),
    ],
)
def test_durations_read_like_a_clock(seconds, shown):
    assert show_duration(seconds) == shown


def test_values_choose_their_unit():
    assert show_value(0.0213, "kg") == "21.3 g"
    assert show_value(2.13, "kg") == "2.13 kg"
    assert show_value(3.2e-4, "mol") == "0.320 mmol"
    assert show_value(-4.5e4, "J") == "−45.0 kJ"
    assert show_value(12.0, "furlong") == "12.0 furlong"
