"""Bottles in words: amounts, strengths, what is left."""

from __future__ import annotations

import math

import pytest

from firstcrop.quantity.read import read_strength
from firstcrop.shelf.records import Ageing, Assay, Bottle, Cost, CostLine, Draw, Level, Today
from firstcrop.views.shelf import (
    assay_row,
    bottle_row,
    cost_row,
    draw_row,
    level_sentence,
    show_strength,
)

ACID = Bottle("acid 1", "battery acid", "sulfuric acid", "37 ± 1 % w/w", 1e-3, "m3",
              price=9.8, currency="EUR", stored_at="cellar", temperature=288.15)  # fmt: skip


def today(left):
    strength = read_strength("34.6 ± 0.21 % w/w")
    aged = Ageing(1.0, 1.0, 1.0, "it keeps")
    return Today(Level(ACID, left), strength, "", strength, aged, "assayed", titrate=False)


@pytest.mark.parametrize(
    ("written", "shown"),
    [
        ("34.6 ± 0.21 % w/w", "34.60 ± 0.21 % w/w"),
        ("2 mol/L", "2.00 mol/L"),
        ("5 ± 0.3 % w/v", "5.00 ± 0.30 % w/v"),
        ("density 1.28 g/mL", "density 1.280 g/mL"),
        ("saturated at 20 °C", "saturated at 20.0 °C"),
    ],
)
def test_strengths(written, shown):
    assert show_strength(read_strength(written)) == shown


def test_an_unknown_strength_is_said_so():
    assert show_strength(None) == "not known"


def test_a_bottle_row():
    row = bottle_row(today(5e-5), ("a notice",))
    assert (row.left, row.size, row.price) == ("50.0 mL", "1.00 L", "9.80 EUR")
    assert (row.stored, row.how, row.low) == ("cellar, 15 °C", "assayed; it keeps", True)
    assert row.law == ("a notice",)
    assert level_sentence(Level(ACID, 5e-5)) == "acid 1: 50.0 mL left"


def test_cost_in_words():
    line = CostLine("acid", "acid 1", 5e-5, "m3", 0.49, "EUR", 8.2)
    bare = CostLine("spirit", "", 0.01, "kg", None, "", math.inf, "no bottle is named")
    buy = (("acid 1", 1e-4, "m3"),)
    row = cost_row(Cost((line, bare), (("EUR", 0.49),), 0.03, 8.0, "acid 1", buy, 10))
    assert row.lines == (
        ("acid", "acid 1", "50.0 mL", "0.49 EUR", "8.2"),
        ("spirit", "—", "10.0 g", "not counted: no bottle is named", ""),
    )
    assert row.sentences == (
        "A run costs 0.49 EUR.", "That is 0.0163 EUR to a gram of dry product.",
        "acid 1 ends first: it is enough for 8 more.", "Buy for 10 run(s): 100 mL of acid 1.",
    )  # fmt: skip


def test_draws_and_assays():
    drawn = draw_row(Draw("k", "2026-11-25T10:20:30+00:00", "Anna", -1e-5), "m3")
    assert (drawn.at, drawn.amount) == ("2026-11-25 10:20", "10.0 mL back")
    found = assay_row(Assay("k", "2026-11-25", "Anna", "acid–base", 0.346, "% w/w", 0.001))
    assert found.strength == "34.60 ± 0.16 % w/w"
