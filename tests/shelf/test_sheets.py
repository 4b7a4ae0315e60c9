"""A sheet takes from the shelf: it narrows after an assay, and a run draws what it uses."""

from __future__ import annotations

from datetime import date

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.run import forecast_sheet
from firstcrop.shelf.amounts import amount_in
from firstcrop.shelf.bottles import add_bottle, draws, find_level, levels, record_assay
from firstcrop.shelf.records import Assay
from firstcrop.shelf.sheets import draw_for, offers, wants
from firstcrop.shelf.today import strength_today
from shelf.sample_shelf import ACID, LYE, bottle

BANK = load_bank()
DAY = date(2026, 11, 25)
SHEET = """# Neutral

## Materials

| name | substance | bottle |
|---|---|---|
| acid | battery acid | acid 1 |
| lye | caustic soda beads | lye |

## Steps

1. Put 100 mL of water in the beaker.
2. Add 10 g of lye.
3. Add ? mL of acid to pH 7.
"""


@pytest.fixture
def shelf(store):
    add_bottle(store, bottle(ACID, strength="37 ± 3 % w/w"))
    add_bottle(store, bottle(LYE, strength="97 ± 0.2 % w/w"))
    return store


def told(store, bands=True):
    bottles = offers(store, BANK, DAY, ("acid 1", "lye"))
    return forecast_sheet(SHEET, BANK, bands, bottles=bottles)


def test_the_forecast_narrows_after_an_assay(shelf):
    """Label 37 ± 3 %; titrated 35.2 with u = 0.12 %: the acid to add is known far better."""
    before = told(shelf).blanks[0].number
    assay = Assay("k", "2026-11-25", "Anna", "acid–base", 0.352, "% w/w", 0.0012)
    record_assay(shelf, "acid 1", assay)
    after = told(shelf).blanks[0].number
    assert (before.high - before.low) > 5.0 * (after.high - after.low) > 0.0
    assert before.low < after.value < before.high
    assert after.value > before.value  # weaker acid, more of it


def test_a_run_draws_what_it_takes_once(shelf):
    forecast = told(shelf, bands=False)
    acid = forecast.blanks[0].number.value
    after = draw_for(shelf, forecast, "Anna", "neutral.md", "run 7")
    assert [(x.bottle.name, x.left) for x in after] == [
        ("acid 1", pytest.approx(1e-3 - acid)), ("lye", pytest.approx(0.49))
    ]  # fmt: skip
    draw_for(shelf, forecast, "Anna", "neutral.md", "run 7")
    assert find_level(shelf, "lye").left == pytest.approx(0.49)
    assert [(d.sheet, d.notes) for d in draws(shelf, "lye")] == [("neutral.md", "lye")]


def test_a_run_that_wants_more_than_is_there_draws_nothing(shelf):
    forecast = told(shelf, bands=False)
    assert draw_for(shelf, forecast, "Anna", "neutral.md", "a")
    for n in range(60):
        last = draw_for(shelf, forecast, "Anna", "neutral.md", f"b{n}")
    assert last.code == "shelf.empty"
    assert all(level.left >= 0.0 for level in levels(shelf))
    assert len(draws(shelf, "acid 1")) == len(draws(shelf, "lye"))


def test_a_sheet_without_bottles_draws_nothing(shelf):
    plain = forecast_sheet(SHEET.replace("| lye |", "| |").replace("acid 1", ""), BANK, False)
    assert wants(plain, levels(shelf)) == ()
    assert draw_for(shelf, plain, "Anna", "x.md", "k").code == "shelf.nothing"


def test_an_amount_is_turned_into_the_unit_of_the_bottle(shelf):
    acid = strength_today(find_level(shelf, "acid 1"), BANK, DAY)
    assert amount_in("250 mL", acid, BANK) == pytest.approx(2.5e-4)
    # 37 % sulfuric acid has 1.277 g/mL at 20 °C (CRC Handbook)
    assert amount_in("127.7 g", acid, BANK) == pytest.approx(1e-4, rel=3e-3)
    assert amount_in("5 min", acid, BANK).code == "shelf.amount"
    assert amount_in("a bit", acid, BANK).code == "shelf.amount"
