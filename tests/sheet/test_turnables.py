"""Numbers one may turn: where they stand, what they are called, and stops that meet the text."""

from __future__ import annotations

import pytest

from firstcrop.sheet.read import read_sheet
from firstcrop.sheet.turnables import turnables
from sample_pages import SMALL

TEXT = SMALL.replace("20 mL of acid", "2.5 mL of acid").replace("15 °C in", "-3 °C in")


def found():
    return turnables(read_sheet(TEXT).preparation)


def test_each_stands_where_it_says():
    lines = TEXT.split("\n")
    for t in found():
        written = lines[t.line - 1][t.column - 1 : t.column - 1 + t.length]
        assert float(written) == t.value


@pytest.mark.parametrize("number", range(len(found())))
def test_the_written_value_is_one_of_the_sliders_stops(number):
    t = found()[number]
    steps = (t.value - t.low) / t.step
    assert steps == pytest.approx(round(steps), abs=1e-6)
    assert t.low < t.value < t.high
    assert t.kind == "temperature" or t.low >= 0.0


def test_below_freezing_the_sign_belongs_to_the_number():
    cold = found()[-1]
    assert (cold.value, cold.length) == (-3.0, 2)


def test_names_and_units_are_those_of_the_sheet():
    told = {(t.where, t.label): t.unit for t in found()}
    assert told["Materials", "strength of acid"] == "± 1 % w/w"
    assert told["step 2", "amount of acid"] == "mL"
    assert told["step 2", "time for acid"] == "s"
    assert all(not label.endswith((" for", " of")) for _, label in told)


def test_a_strength_in_percent_stays_below_a_hundred():
    rich = SMALL.replace("37 ± 1 % w/w", "97 ± 1 % w/w")
    strength = turnables(read_sheet(rich).preparation)[0]
    assert strength.high <= 100.0
