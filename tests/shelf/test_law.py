"""The law's notices: at the strength, for the place; always with "check your local law"."""

from __future__ import annotations

from datetime import date

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.bank.mixing import load_places, load_rules
from firstcrop.shelf.law import CHECK, notices, place_of, set_place
from firstcrop.shelf.records import Level
from firstcrop.shelf.today import strength_today
from shelf.sample_shelf import bottle

BANK = load_bank()


def told(place="", **cells):
    made = bottle({"name": "x", "size": "1 L", **cells})
    return notices(strength_today(Level(made, 1e-3), BANK, date(2026, 11, 25)), BANK, place)


@pytest.mark.parametrize(
    ("product", "strength", "place", "count"),
    [
        # Regulation (EU) 2019/1148, Annex I: above 15, 12 and 3 % w/w
        ("sulfuric acid", "14.9 ± 0 % w/w", "EU", 0),
        ("sulfuric acid", "15 ± 1 % w/w", "EU", 1),
        ("sulfuric acid", "37 % w/w", "Germany", 1),
        ("sulfuric acid", "37 % w/w", "UK", 1),
        ("sulfuric acid", "37 % w/w", "", 1),
        ("sulfuric acid", "4 mol/L", "EU", 1),  # 32 % w/w
        ("sulfuric acid", "1 mol/L", "EU", 0),  # 9 % w/w
        ("hydrogen peroxide", "12 ± 0 % w/w", "EU", 0),
        ("hydrogen peroxide", "30 % w/w", "EU", 1),
        ("nitric acid", "2 % w/w", "EU", 0),
        # Poisons Act 1972 as amended in 2023: hydrochloric 10 %, phosphoric 30 %, in GB only
        ("hydrogen chloride", "31 % w/w", "GB", 1),
        ("hydrogen chloride", "31 % w/w", "France", 0),
        ("phosphoric acid", "75 % w/w", "England", 1),
        ("phosphoric acid", "75 % w/w", "EU", 0),
        ("citric acid", "99 % w/w", "EU", 0),
    ],
)
def test_a_notice_where_the_list_has_one(product, strength, place, count):
    found = told(place, product=product, strength=strength)
    assert len(found) == count
    assert all(sentence.endswith(CHECK) for sentence in found)


def test_an_unknown_strength_counts_as_the_strongest():
    (sentence,) = told("EU", product="sulfuric acid")
    assert "(its strength is not known)" in sentence


def test_the_place_is_kept(store):
    assert place_of(store) == ""
    assert set_place(store, " germany ") == "germany"
    assert set_place(store, "UK") == "UK"
    assert place_of(store) == "UK"
    assert set_place(store, "Atlantis").code == "shelf.place"
    assert place_of(store) == "UK"
    assert set_place(store, "anywhere") == "anywhere"


def test_every_rule_is_of_a_place_and_a_substance_there_is():
    codes = set(load_places().values())
    for rule in load_rules():
        assert set(rule.places) <= codes
        assert rule.substance in BANK.substances
        assert rule.licence is None or rule.licence > rule.limit
