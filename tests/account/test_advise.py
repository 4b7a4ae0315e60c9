"""Advice from the forecast: what is better, by how much, and what it would break."""

from __future__ import annotations

from functools import cache

import pytest

from firstcrop.account.advise import Change, advise, values, with_value
from firstcrop.bank.bank import load_bank
from firstcrop.problems import Problem
from firstcrop.run import forecast_sheet

SHEET = """# Saltpetre, cleaned

Makes potassium nitrate, KNO3.

## Materials

| name | substance | strength |
|---|---|---|
| saltpetre | potassium nitrate | 92 ± 2 % w/w |

## Vessels

- beaker: 250 mL low-form beaker

## Steps

1. Put 60 mL of water in the beaker. Add 60 g of saltpetre.
2. Heat to 58 °C, keeping below 60 °C.
3. Cool to 15 °C in cold water over 60 min.
4. Filter; keep the crystals. Dry in air.
"""


@cache
def changes() -> tuple[Change, ...]:
    found = advise(SHEET, load_bank())
    assert not isinstance(found, Problem)
    return found


def test_cooler_and_less_water_give_more():
    gains = {(c.turned.label, c.turned.where, c.value): c for c in changes()}
    assert gains["brought to", "step 3", 10.0].yield_gain > 0.02
    assert gains["brought to", "step 3", 20.0].yield_gain < -0.02
    assert gains["amount of water", "step 1", 54.0].yield_gain > 0.01
    assert [c.yield_gain for c in changes()] == sorted(
        (c.yield_gain for c in changes()), reverse=True
    )


def test_a_gain_is_the_difference_of_two_forecasts():
    (cooler,) = (c for c in changes() if c.turned.where == "step 3" and c.value == 10.0)
    new = forecast_sheet(with_value(SHEET, cooler.turned, 10.0), load_bank(), with_bands=False)
    old = forecast_sheet(SHEET, load_bank(), with_bands=False)
    gain = new.crops[0].dry_mass.value - old.crops[0].dry_mass.value
    assert cooler.mass_gain == pytest.approx(gain, rel=1e-9)


def test_a_limit_that_would_break_is_named():
    (hotter,) = (c for c in changes() if c.turned.where == "step 2" and c.value == 63.0)
    assert any("60" in words for words in hotter.breaks)
    (cooler,) = (c for c in changes() if c.turned.where == "step 3" and c.value == 10.0)
    assert not any("below" in words for words in cooler.breaks)


def test_each_number_is_turned_both_ways_and_strengths_not_above_all():
    for turned in {c.turned for c in changes()}:
        assert 1 <= len(list(values(turned))) <= 2
        assert all(v <= 100.0 for v in values(turned) if turned.kind == "strength")


def test_a_sheet_without_a_crop_is_told_so():
    found = advise(SHEET[: SHEET.index("4. Filter")], load_bank())
    assert isinstance(found, Problem)
    assert found.code == "advise.crop"
