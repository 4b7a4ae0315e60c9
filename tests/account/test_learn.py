"""Readings teach: inputs made up here are found again, and the stated bands hold them as often as
they say. Truth is drawn from the very bounds the forecast stands on, readings from its own run."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest

from firstcrop.account.evidence import Oracle
from firstcrop.account.learn import TO_SIGMA, learn
from firstcrop.account.records import END, Evidence
from firstcrop.account.study import Study, run_at, study
from firstcrop.bank.bank import load_bank

SHEET = """# Saltpetre, cleaned

Makes potassium nitrate, KNO3.

## Materials

| name | substance | strength | notes |
|---|---|---|---|
| saltpetre | potassium nitrate | 92 ± 6 % w/w, rest inert | |
| lye | sodium hydroxide | 30 ± 5 % w/w | |

## Vessels

- beaker: 250 mL low-form beaker

## Steps

1. Put 60 ± 2 mL of water in the beaker. Add 20 mL of lye.
2. Add 60 g of saltpetre. Heat to 70 °C and hold for 5 min.
3. Cool to 15 °C in cold water over 30 min.
4. Filter; keep the crystals. Dry in air.
"""
READINGS = (
    Evidence("temperature", 0.0, 0.5, 1, END),
    Evidence("temperature", 0.0, 0.5, 2, 5.0),
    Evidence("volume", 0.0, 2e-6, 1, END),
    Evidence("crop", 0.0, 1e-4, crop=1),
)


@cache
def saltpetre() -> Study:
    found = study(SHEET, load_bank())
    assert isinstance(found, Study)
    return found


def draw(rng: np.random.Generator) -> tuple[dict[str, float], list[Evidence]]:
    """A true bench, and what would be read there: (shift by key, readings)."""
    truth = {t.knob.key: float(rng.normal() * TO_SIGMA) for t in saltpetre().turned}
    oracle = Oracle(saltpetre().ground, run_at(saltpetre().ground, saltpetre().base, truth))
    read = [
        Evidence(e.what, oracle.says(e) + rng.normal() * e.band * TO_SIGMA, e.band, e.step,
                 e.seconds, e.crop, e.dry)
        for e in READINGS
    ]  # fmt: skip
    return truth, read


def true_value(key: str, shift: float) -> float:
    knob = next(t.knob for t in saltpetre().turned if t.knob.key == key)
    half = knob.high - knob.value if shift > 0.0 else knob.value - knob.low
    return knob.value + shift * half


def test_bands_hold_the_truth_as_often_as_they_say():
    """Benches drawn at random, every input the readings narrow: 90 % should lie inside. Over 24 of
    them 147 of 163 did; of the 10 run here the inputs of one bench go astray together, and 75 % is
    two standard errors of ten whole benches."""
    rng = np.random.default_rng(20260301)
    inside = narrowed = 0
    for _ in range(10):
        truth, read = draw(rng)
        if any(not math.isfinite(e.value) for e in read):
            continue
        for lesson in learn(saltpetre(), read).lessons:
            if lesson.narrowed < 0.97:
                narrowed += 1
                inside += (
                    lesson.after[1] <= true_value(lesson.key, truth[lesson.key]) <= lesson.after[2]
                )
    assert narrowed >= 60
    print(f"{inside} of {narrowed} inside")
    assert 0.80 <= inside / narrowed <= 0.99


def test_a_stronger_lye_is_found_from_a_warmer_beaker():
    strong = {"strength:lye": 0.9}
    oracle = Oracle(saltpetre().ground, run_at(saltpetre().ground, saltpetre().base, strong))
    read = [Evidence("temperature", oracle.says(READINGS[0]), 0.2, 1)]
    lessons = {lesson.key: lesson for lesson in learn(saltpetre(), read).lessons}
    assert lessons["strength:lye"].after[0] > lessons["strength:lye"].before[0]


def test_without_readings_nothing_is_learned():
    found = learn(saltpetre(), ())
    assert all(lesson.narrowed == pytest.approx(1.0) for lesson in found.lessons)
    assert found.surprises == ()
    assert found.run is saltpetre().base


def test_a_reading_far_outside_is_a_surprise_with_its_size():
    base = Oracle(saltpetre().ground, saltpetre().base).says(READINGS[0])
    (surprise,) = learn(saltpetre(), [Evidence("temperature", base + 40.0, 0.5, 1)]).surprises
    assert surprise.size > 2.0
    assert surprise.forecast == pytest.approx(base)


def test_the_rest_of_the_run_is_forecast_closer_from_what_was_read():
    base = Oracle(saltpetre().ground, saltpetre().base)
    read = [Evidence("volume", base.says(READINGS[2]), 2e-7, 1), READINGS[0]]
    read[1] = Evidence("temperature", base.says(READINGS[0]), 0.1, 1)
    before, after = learn(saltpetre(), ()).numbers, learn(saltpetre(), read).numbers
    key = ("end volume", 2)
    assert after[key].high - after[key].low < 0.9 * (before[key].high - before[key].low)


def test_readings_of_what_the_run_does_not_know_are_left_out():
    odd = [Evidence("temperature", 300.0, 0.5, 99), Evidence("crop", 0.01, 1e-4, crop=7),
           Evidence("colour", 1.0, 0.1, 1)]  # fmt: skip
    assert learn(saltpetre(), odd).surprises == ()
