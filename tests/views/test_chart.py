"""The picture's specification: lanes, bands, limits; never colour alone."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from firstcrop.forecast.records import Forecast, Trace
from firstcrop.sheet.records import Preparation
from firstcrop.views.chart import chart, describe
from firstcrop.views.chart_time import LEAST, WIDTH, bands, clock_text, drawn_widths
from sample_forecast import sample


def words_in(value):
    """Every text of a specification's inline data and titles."""
    if isinstance(value, dict):
        for key, inner in value.items():
            if key == "text" and isinstance(inner, str):
                yield inner
            yield from words_in(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from words_in(inner)


def titles(spec):
    return [lane["title"]["text"].split(",")[0].split(":")[0] for lane in spec["vconcat"]]


def test_the_lanes_share_one_axis():
    spec = chart(sample())
    assert titles(spec)[:5] == ["Step", "Temperature", "Volume", "Gas but steam", "pH"]
    assert {lane["width"] for lane in spec["vconcat"]} == {WIDTH}


def test_a_broken_limit_is_said_in_words_not_only_in_red():
    assert "above 5 °C: broken" in set(words_in(chart(sample())))


def test_solids_are_labelled_at_the_line():
    words = set(words_in(chart(sample())))
    assert "KAl(SO4)2·12H2O, 29.8 g" in words
    assert "Al(OH)3, 4 g" in words


def test_a_run_without_gas_has_no_gas_lane():
    forecast = sample()
    still = replace(forecast.trace, gas_rate=(), gas_total=())
    assert "Gas but steam" not in titles(chart(replace(forecast, trace=still)))


def test_nothing_simulated_is_still_a_picture():
    empty = chart(Forecast(Preparation(title="Nothing"), trace=Trace()))
    assert "Nothing could be simulated" in empty["data"]["values"][0]["text"]


def test_the_description_names_the_hottest_step():
    assert describe(sample()) == "Alum from cans: 4 steps; hottest in step 2, 43.7 °C (41.3–46.1)."


def test_bands_follow_each_other_and_fill_the_width():
    drawn = bands(sample())
    assert drawn[0].x == 0.0
    assert drawn[-1].x2 == pytest.approx(WIDTH)
    assert all(a.x2 == pytest.approx(b.x) for a, b in pairwise(drawn))


def test_a_night_does_not_squeeze_the_day():
    widths = drawn_widths([60.0, 600.0, 0.0, 900.0, 43200.0, 300.0])
    assert sum(widths) == pytest.approx(WIDTH)
    assert min(widths) >= 0.99 * LEAST * WIDTH
    assert max(widths) < 0.5 * WIDTH


def test_equal_steps_are_drawn_to_one_scale():
    drawn = drawn_widths([600.0, 1200.0, 600.0, 1800.0, 900.0])
    assert drawn[1] / drawn[0] == pytest.approx(2.0, rel=0.01)


def test_it_renders():
    import vl_convert

    svg = vl_convert.vegalite_to_svg(chart(sample()))
    assert svg.startswith("<svg")
    assert "Alum from cans" in svg
    assert "below 45 °C" in svg


@pytest.mark.parametrize(
    ("seconds", "text"), [(0, "0:00"), (2520, "0:42"), (11340, "3:09"), (180000, "2 d 2 h")]
)
def test_the_clock_counts_hours_and_minutes(seconds, text):
    assert clock_text(seconds) == text
