"""Where the target is at the end: the places add up to theory, and the crops are among them."""

from __future__ import annotations

import math

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.forecast.pipeline import forecast
from sample_sheets import ALUM, told

UNFINISHED = ALUM.replace(
    "half-life 6 min at 70 °C; doubles every 10 °C", "goes 90 % of the way"
).replace("Add ? mL of dilute acid to pH 2.5", "Add 75 mL of dilute acid")


PLAIN = """# Saltpetre, cleaned

Makes potassium nitrate.

## Materials

| name | substance | strength | notes |
|---|---|---|---|
| saltpetre | potassium nitrate | | |

## Vessels

- beaker: 100 mL low-form beaker

## Steps

1. Put 30 mL of water in the beaker. Add 30 ± 0.1 g of saltpetre.
2. Heat to 70 °C and hold for 5 min.
3. Cool to 10 °C in an ice bath over 30 min.
4. Filter; keep the crystals. Dry in air.
"""


def test_the_places_add_up_to_theory():
    f = told(ALUM)
    assert f.theory is not None
    total = math.fsum(fate.mass.value for fate in f.fates)
    assert total == pytest.approx(f.theory.value, rel=1e-9)
    assert all(fate.mass.value > 0.0 for fate in f.fates)


def test_a_crop_is_there_with_what_was_lost_on_paper():
    f = told(ALUM)
    (crop,) = f.crops
    fates = {fate.where: fate.mass for fate in f.fates}
    assert fates["crop 1"].value == pytest.approx(dict(crop.composition)[crop.name], rel=1e-9)
    assert fates["lost on paper, funnel and glass"].value > 0.0


def test_metal_that_did_not_dissolve_was_not_made_into_target():
    f = forecast(UNFINISHED, load_bank(), with_bands=False)
    assert f.theory is not None
    assert f.theory.working is not None
    assert "Al+3" in f.theory.working.terms[0].label
    not_made = {fate.where: fate.mass.value for fate in f.fates}["not made"]
    assert not_made == pytest.approx(0.1 * f.theory.value, rel=1e-6)


def test_a_place_has_a_band():
    f = forecast(PLAIN, load_bank())
    liquor = {fate.where: fate.mass for fate in f.fates}["in the beaker"]
    assert liquor.low < liquor.value < liquor.high
    assert math.fsum(fate.mass.value for fate in f.fates) == pytest.approx(0.030, rel=1e-6)


def test_without_a_target_there_is_nothing_to_find():
    plain = "# Water\n\n## Vessels\n\n- beaker: 400 mL low-form beaker\n\n"
    f = forecast(plain + "## Steps\n\n1. Put 60 mL of water in the beaker.\n", load_bank())
    assert f.fates == ()
