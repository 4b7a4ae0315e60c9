"""What the shelf offers to a live forecast: asked of the database now and then only."""

from __future__ import annotations

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.server import offers as module
from firstcrop.server.keeper import Keeper
from firstcrop.server.offers import Offers, bottles_named
from firstcrop.shelf.bottles import add_bottle
from firstcrop.shelf.entering import read_bottle

SHEET = """# N

## Materials

| name | substance | bottle |
|---|---|---|
| acid | sulfuric acid | acid 1 |
"""


@pytest.fixture
def keeper(tmp_path, monkeypatch):
    monkeypatch.delenv("FIRSTCROP_DB", raising=False)
    made = Keeper(tmp_path)
    yield made
    made.close()


def test_a_sheet_says_which_bottles_it_names():
    assert bottles_named(SHEET) == ("acid 1",)
    assert bottles_named("# N\n\nA bottle of wine.\n") == ()


def test_no_database_is_made_for_a_forecast(keeper):
    assert Offers(keeper).of(SHEET) == ()
    assert list(keeper.folder.iterdir()) == []


def test_the_answer_is_kept_for_a_moment(keeper, monkeypatch):
    cells = {"name": "acid 1", "product": "battery acid", "size": "1 L"}
    add_bottle(keeper.store(), read_bottle(cells, load_bank()))
    asked = []
    real = module.offers
    monkeypatch.setattr(module, "offers", lambda *a: asked.append(1) or real(*a))
    shelf = Offers(keeper)
    assert shelf.of(SHEET) == shelf.of(SHEET + "\n\n## Steps\n")
    assert [b.key for b in shelf.of(SHEET)] == ["acid 1"]
    assert len(asked) == 1
    monkeypatch.setattr(module, "FRESH", 0.0)
    shelf.of(SHEET)
    assert len(asked) == 2
