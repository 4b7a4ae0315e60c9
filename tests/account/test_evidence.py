"""What a run says in place of a reading."""

from __future__ import annotations

import math

import pytest

from account.test_learn import saltpetre
from firstcrop.account.evidence import Oracle
from firstcrop.account.records import END, Evidence
from firstcrop.forecast.measures import measures


def oracle() -> Oracle:
    return Oracle(saltpetre().ground, saltpetre().base)


def test_a_reading_in_time_lies_between_its_neighbours():
    log = saltpetre().base.logs[2]
    middle = oracle().says(Evidence("temperature", 0.0, 1.0, 3, 600.0))
    first, last = log.instants[0].temperature, log.instants[-1].temperature
    assert last < middle < first
    assert oracle().says(Evidence("temperature", 0.0, 1.0, 3, END)) == last
    assert oracle().says(Evidence("temperature", 0.0, 1.0, 3, 1e9)) == last


def test_peaks_and_crops_are_those_of_the_forecast():
    numbers = measures(saltpetre().ground, saltpetre().base)
    assert oracle().says(Evidence("peak", 0.0, 1.0, 2)) == numbers["peak", 2]
    (name,) = {key[1] for key in numbers if key[0] == "dry"}
    assert oracle().says(Evidence("crop", 0.0, 1.0, crop=1)) == numbers["dry", name]
    wet = oracle().says(Evidence("crop", 0.0, 1.0, crop=1, dry=False))
    assert wet == numbers["wet", name] > numbers["dry", name]


@pytest.mark.parametrize(
    "odd", [Evidence("temperature", 0.0, 1.0, 99), Evidence("crop", 0.0, 1.0, crop=9),
            Evidence("colour", 0.0, 1.0, 1), Evidence("peak", 0.0, 1.0, 99)],
)  # fmt: skip
def test_what_a_run_does_not_know_is_not_a_number(odd):
    assert math.isnan(oracle().says(odd))
