"""Cost, what limits the next run, what to buy, and which strength spoils a batch."""

from __future__ import annotations

import math
from datetime import date

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.forecast.records import (
    BlankAnswer,
    Crop,
    Forecast,
    Influence,
    Number,
    Taken,
)
from firstcrop.problems import Place
from firstcrop.run import forecast_sheet
from firstcrop.sheet.records import Material, Preparation
from firstcrop.shelf.cost import advice, cost_of
from firstcrop.shelf.records import Level
from firstcrop.shelf.today import offered, strength_today
from shelf.sample_shelf import ACID, LYE, bottle

UNKNOWN = Number(math.nan, math.nan, math.nan, "1")


def number(value, *influences, unit="kg"):
    return Number(value, value, value, unit, influences=influences)


def crop(mass, *influences, share=0.9):
    return Crop(1, 3, "alum", number(mass), number(mass, *influences), (), number(1.0),
                number(share), number(0.0), Place(1))  # fmt: skip


def forecast(taken, crops=(), blanks=()):
    materials = (
        Material("acid", "sulfuric acid", bottle="acid 1"),
        Material("lye", "sodium hydroxide", bottle="lye"),
        Material("spirit", "ethanol"),
    )
    return Forecast(Preparation("", materials=materials), taken=taken, crops=crops, blanks=blanks)


TAKEN = (Taken("acid", 0.064, 5e-5), Taken("lye", 0.02, 1e-5), Taken("spirit", 0.01, 1.2e-5),
         Taken("water", 0.1, 1e-4))  # fmt: skip
THERE = (Level(bottle(ACID), 4e-4), Level(bottle(LYE), 0.5))


def test_each_bottle_costs_its_part():
    """50 mL of a litre at 9.80 EUR, 20 g of 500 g at 4.50 €: by hand."""
    found = cost_of(forecast(TAKEN, (crop(0.03),)), THERE)
    assert dict(found.totals) == pytest.approx({"EUR": 0.49, "€": 0.18})
    assert found.product == pytest.approx(0.03)
    assert [(x.material, x.price) for x in found.lines] == [
        ("acid", pytest.approx(0.49)), ("lye", pytest.approx(0.18)), ("spirit", None)
    ]  # fmt: skip
    assert found.lines[2].why == "no bottle is named"


def test_what_ends_first_and_what_to_buy():
    found = cost_of(forecast(TAKEN), THERE, runs=10)
    assert (found.limits, found.batches) == ("acid 1", 8)
    assert found.buy == (("acid 1", pytest.approx(1e-4), "m3"),)
    assert math.isnan(found.product)


def test_two_materials_from_one_bottle_count_together():
    two = (Material("a", "sulfuric acid", bottle="acid 1"),
           Material("b", "sulfuric acid", bottle="Acid 1"))  # fmt: skip
    told = Forecast(Preparation("", materials=two),
                    taken=(Taken("a", 0.1, 1e-4), Taken("b", 0.1, 1e-4)))  # fmt: skip
    assert cost_of(told, THERE).batches == 2


def test_a_bottle_without_a_price_is_said_so():
    bare = Level(bottle(ACID, price=""), 4e-4)
    found = cost_of(forecast(TAKEN), (bare, THERE[1]))
    assert found.lines[0].price is None
    assert found.lines[0].why == "the bottle has no price"
    assert dict(found.totals) == pytest.approx({"€": 0.18})


def test_a_sheet_without_bottles_costs_nothing_known():
    found = cost_of(Forecast(Preparation("")), THERE)
    assert (found.totals, found.limits, found.batches) == ((), "", math.inf)


def test_a_spread_that_spoils_the_batch_says_titrate():
    influence = Influence("strength of acid", -0.003, 0.002)
    small = number(5e-5, Influence("strength of lye", -1e-6, 1e-6))
    answer = BlankAnswer(Place(9), 2, "50 mL", small, "pH 7")
    acid, lye = advice(forecast(TAKEN, (crop(0.03, influence),), (answer,)))
    assert (acid.bottle, acid.titrate) == ("acid 1", True)
    assert acid.effect == "crop 1 (alum): −10.0 % to +6.7 %"
    assert (lye.titrate, lye.part) == (False, pytest.approx(0.02))


def test_an_assay_ends_the_advice():
    """The same sheet with the label's 37 ± 3 % and with 37 ± 0.2 %."""
    text = """# Neutral

## Materials

| name | substance | bottle |
|---|---|---|
| acid | battery acid | acid 1 |

## Steps

1. Put 100 mL of water in the beaker.
2. Add ? mL of acid to pH 1.
"""
    bank = load_bank()

    def titrate(strength):
        level = Level(bottle(ACID, strength=strength), 1e-3)
        shelf = (offered(strength_today(level, bank, date(2026, 11, 25))),)
        return advice(forecast_sheet(text, bank, bottles=shelf))[0].titrate

    assert titrate("37 ± 3 % w/w")
    assert not titrate("37 ± 0.2 % w/w")
