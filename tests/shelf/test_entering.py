"""What people write about a bottle is read, or every mistake in it is told."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firstcrop.bank.bank import load_bank
from firstcrop.shelf.entering import CELLS, hazard_words, read_bottle
from firstcrop.shelf.records import Bottle
from shelf.sample_shelf import ACID, LYE, bottle


def test_a_bottle_in_full():
    acid = bottle(ACID)
    assert (acid.name, acid.substance, acid.unit) == ("acid 1", "sulfuric acid", "m3")
    assert (acid.size, acid.price, acid.currency) == (1e-3, 9.8, "EUR")
    assert acid.temperature == pytest.approx(288.15)
    assert acid.hazards == ("H314", "H290")


def test_a_known_product_brings_its_usual_strength_and_hazards():
    lye = bottle(LYE)
    assert lye.substance == "sodium hydroxide"
    assert lye.strength == "97 ± 2 % w/w"  # the bank's row, from memory of labels
    assert "H314" in lye.hazards
    assert (lye.size, lye.unit, lye.price, lye.currency) == (0.5, "kg", 4.5, "€")


def test_weak_acid_has_weaker_hazards():
    weak = bottle({"name": "v", "product": "white vinegar", "size": "1 L", "strength": "5 % w/w"})
    strong = bottle({"name": "g", "product": "acetic acid", "size": "1 L", "strength": "99 % w/w"})
    assert "H314" in strong.hazards
    assert "H314" not in weak.hazards


@pytest.mark.parametrize(
    ("cell", "written", "code"),
    [
        ("name", "", "shelf.name"),
        ("product", "", "shelf.product"),
        ("product", "batery acid", "shelf.product"),
        ("strength", "120 % w/w", "shelf.strength"),
        ("strength", "quite strong", "shelf.strength"),
        ("size", "", "shelf.size"),
        ("size", "-1 L", "shelf.size"),
        ("size", "0 g", "shelf.size"),
        ("size", "5 min", "shelf.size"),
        ("price", "cheap", "shelf.price"),
        ("temperature", "3 g", "shelf.temperature"),
        ("bought", "yesterday", "shelf.date"),
        ("opened", "2026-02-30", "shelf.date"),
        ("hazards", "H314 H999", "shelf.hazard"),
    ],
)
def test_each_mistake_is_told(cell, written, code):
    problems = read_bottle({**ACID, cell: written}, load_bank())
    assert [p.code for p in problems] == [code]
    assert problems[0].hint or problems[0].message


def test_all_mistakes_come_at_once():
    problems = read_bottle({"name": "", "product": "??", "size": "much"}, load_bank())
    assert [p.code for p in problems] == ["shelf.product", "shelf.size", "shelf.name"]


def test_hazards_are_put_in_words():
    assert hazard_words(("H314",))[0].startswith("H314: ")
    assert "burns" in hazard_words(("H314",))[0]


@settings(deadline=None)
@given(st.dictionaries(st.sampled_from(list(CELLS)), st.text(max_size=40)))
def test_anything_written_is_a_bottle_or_its_mistakes(cells):
    made = read_bottle(cells, load_bank())
    assert isinstance(made, Bottle) or (made and all(p.message for p in made))
