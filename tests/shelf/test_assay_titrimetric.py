"""The whole measurement of a titration by sampling (JCGM 101): the budget must agree with it."""

from __future__ import annotations

import math

import numpy as np
import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.shelf.assay_book import Book
from firstcrop.shelf.assay_methods import find_method
from firstcrop.shelf.assay_readings import read_readings
from firstcrop.shelf.assay_repeats import repeats
from firstcrop.shelf.assay_titrimetric import direct
from firstcrop.shelf.gum import Input, Shape, propagate

STANDARDISED = """method\tacid by alkali
substance\tacetic acid
sample\t10.00 mL\tpipette 10 mL B
made up to\t250 mL\tflask 250 mL B
aliquot\t25.00 mL\tpipette 25 mL B
titre\t16.70; 16.75; 16.68; 16.72; 16.66; 16.74 mL\tburette 50 mL B
blank\t0.10; 0.14 mL
standard\tpotassium hydrogen phthalate
standard mass\t0.2045; 0.2103; 0.1987; 0.2011 g\tbalance 1 mg
standard purity\t99.95 ± 0.05 %
standard titre\t20.03; 20.60; 19.46; 19.70 mL\tburette 50 mL B
temperature\t24 °C\tthermometer 1 °C
density\t1.006 ± 0.002 g/mL
in\t% w/w
"""
DRAWS = 4000


def _draw(item: Input, rng: np.random.Generator) -> float:
    match item.shape:
        case Shape.RECTANGULAR:
            return item.value + item.u * math.sqrt(3.0) * rng.uniform(-1.0, 1.0)
        case Shape.TRIANGULAR:
            return item.value + item.u * math.sqrt(6.0) * rng.triangular(-1.0, 0.0, 1.0)
        case Shape.STUDENT:
            return item.value + item.u * rng.standard_t(item.freedom)
        case _:
            return item.value + item.u * rng.standard_normal()


def test_sampling_the_whole_measurement_agrees_with_its_budget():
    readings = read_readings(STANDARDISED)
    assert readings.problems == ()
    book = Book(readings, load_bank())
    recipe = direct(book, find_method("acid by alkali"))
    assert recipe is not None
    again = repeats(book, recipe.term, readings.rows["titre"])

    def model(x):
        return float(recipe.term(x).mean()) * again(x)

    found = propagate(book.inputs, model)
    rng = np.random.default_rng(20251125)
    draws = [model({i.name: _draw(i, rng) for i in book.inputs}) for _ in range(DRAWS)]
    low, high = np.quantile(draws, (0.05, 0.95))
    assert np.mean(draws) == pytest.approx(found.value, rel=5e-4)
    # of 4000 draws a 5 % quantile is known to about 3 % of the half-width; 5 % allows for it and
    # for Welch-Satterthwaite being an approximation (GUM G.4.1)
    assert 0.5 * (high - low) == pytest.approx(found.half_width(0.9), rel=0.05)
    assert len(found.rows) >= 15
