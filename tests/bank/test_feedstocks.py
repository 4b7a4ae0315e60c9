"""Every product names a known substance and a strength that can be read."""

from __future__ import annotations

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.bank.feedstocks import load_feedstocks
from firstcrop.bank.lookup import find_feedstock, plain_name
from firstcrop.bank.records import Feedstock
from firstcrop.quantity.read import read_strength
from firstcrop.quantity.records import Basis, Strength

BANK = load_bank()
FEEDSTOCKS = load_feedstocks()
each = pytest.mark.parametrize("product", FEEDSTOCKS, ids=lambda f: f.name)


def test_there_are_enough() -> None:
    assert len(FEEDSTOCKS) >= 60


@each
def test_row(product: Feedstock) -> None:
    assert product.substance in BANK.substances
    assert product.source in BANK.sources
    strength = read_strength(product.strength)
    assert isinstance(strength, Strength), strength
    assert strength.band > 0.0, "a product's strength has a spread"
    if strength.basis is Basis.WW:
        assert 0.01 < strength.value <= 1.0


def test_no_name_means_two_products() -> None:
    owner: dict[str, str] = {}
    for product in FEEDSTOCKS:
        for name in {plain_name(n) for n in (product.name, *product.names)}:
            assert owner.setdefault(name, product.name) == product.name, name


def test_a_name_shared_with_a_substance_means_the_same_substance() -> None:
    keys = {plain_name(n): s.key for s in BANK.substances.values() for n in (s.key, *s.names)}
    for product in FEEDSTOCKS:
        for name in map(plain_name, (product.name, *product.names)):
            assert keys.get(name, product.substance) == product.substance, name


# What the packet really holds: the label's own formula, not the bare name's.
PACKETS = (
    ("Epsom salt", "MgSO4·7H2O"),
    ("soda crystals (shop)", "Na2CO3·10H2O"),
    ("pH plus", "Na2CO3"),
    ("moss killer", "FeSO4·7H2O"),
    ("dried iron sulphate", "FeSO4·H2O"),
    ("wood bleach crystals", "C2H2O4·2H2O"),
    ("citric acid descaler", "C6H8O7·H2O"),
    ("bluestone crystals", "CuSO4·5H2O"),
    ("pickling alum", "KAl(SO4)2·12H2O"),
    ("hypo crystals", "Na2S2O3·5H2O"),
    ("borax substitute", "Na2CO3·NaHCO3·2H2O"),
)


@pytest.mark.parametrize(("name", "formula"), PACKETS)
def test_the_hydrate_in_the_packet(name: str, formula: str) -> None:
    product = find_feedstock(BANK, name)
    assert isinstance(product, Feedstock)
    assert BANK.substances[product.substance].formula == formula
