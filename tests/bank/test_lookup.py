"""What people call things finds the right thing, hydrate and all; the rest gets near names."""

from __future__ import annotations

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.bank.lookup import (
    find_feedstock,
    find_substance,
    hydrate_note,
    hydrates,
    nearest_names,
    plain_name,
)
from firstcrop.bank.records import Feedstock, Substance
from firstcrop.problems import Place, Problem, Severity

BANK = load_bank()

FOUND = (
    ("Epsom salts", "magnesium sulfate heptahydrate"),
    ("epsom salt", "magnesium sulfate heptahydrate"),
    ("Washing soda", "sodium carbonate decahydrate"),
    ("soda ash", "sodium carbonate"),
    ("sulphuric acid", "sulfuric acid"),
    ("aluminum", "aluminium"),
    ("potassium aluminum sulfate", "potassium alum"),
    ("Copper Sulphate", "copper(II) sulfate pentahydrate"),
    ("MgSO4.7H2O", "magnesium sulfate heptahydrate"),
    ("MgSO4", "magnesium sulfate"),
    ("KAl(SO4)2*12H2O", "potassium alum"),
    ("K3[Fe(C2O4)3]·3H2O", "potassium tris(oxalato)ferrate(III) trihydrate"),
    ("K3Fe(C2O4)3.3H2O", "potassium tris(oxalato)ferrate(III) trihydrate"),
    ("nacl", "sodium chloride"),
    ("HCl", "hydrogen chloride"),
    ("CO", "carbon monoxide"),
    ("saltpeter", "potassium nitrate"),
    ("cream of tartar", "potassium hydrogen tartrate"),
    ("sodium hydrogen carbonate", "sodium hydrogencarbonate"),
    ("hypo", "sodium thiosulfate pentahydrate"),
    ("CaSO4·½H2O", "calcium sulfate hemihydrate"),
    ("Mohr’s salt", "mohr's salt"),
    ("KHP", "potassium hydrogen phthalate"),
)


@pytest.mark.parametrize(("text", "key"), FOUND)
def test_finds(text: str, key: str) -> None:
    found = find_substance(BANK, text)
    assert isinstance(found, Substance), found
    assert found.key == key


@pytest.mark.parametrize("key", list(BANK.substances))
def test_every_key_name_and_formula_finds_itself(key: str) -> None:
    substance = BANK.substances[key]
    for name in (key, *substance.names):
        found = find_substance(BANK, name)
        assert isinstance(found, Substance)
        assert found.key == key
    found = find_substance(BANK, substance.formula)
    assert isinstance(found, Substance)
    assert found.molar_mass == pytest.approx(substance.molar_mass)


@pytest.mark.parametrize(
    ("text", "offered"),
    [
        ("potasium nitrate", "potassium nitrate"),
        ("salicilic acid", "salicylic acid"),
        ("sodium thiosulphite", "sodium thiosulfate"),
        ("copper sulfat", "copper sulfate"),
        ("citrc acid", "citric acid"),
        ("muriatic acit", "muriatic acid"),
    ],
)
def test_offers_the_nearest(text: str, offered: str) -> None:
    place = Place(7, 3, 4)
    problem = find_substance(BANK, text, place)
    assert isinstance(problem, Problem)
    assert problem.code == "bank.unknown-substance"
    assert problem.places == (place,)
    near = [plain_name(name) for name in nearest_names(BANK, text)]
    assert any(offered in name for name in near), near


def test_a_formula_of_another_element_is_not_the_gas_of_the_same_letters() -> None:
    assert isinstance(find_substance(BANK, "Co"), Problem)
    assert isinstance(find_substance(BANK, "No"), Problem)


@pytest.mark.parametrize("noise", ["", "   ", "?", "·", "x" * 500, "((((", "H2O2O2O2Xx"])
def test_noise_is_a_problem_not_a_crash(noise: str) -> None:
    assert isinstance(find_substance(BANK, noise), Problem)
    assert isinstance(find_feedstock(BANK, noise), Problem)


def test_a_product_is_told_apart_from_a_substance() -> None:
    problem = find_substance(BANK, "battery acid")
    assert isinstance(problem, Problem)
    assert problem.code == "bank.product"
    product = find_feedstock(BANK, "Battery acid")
    assert isinstance(product, Feedstock)
    assert product.substance == "sulfuric acid"


def test_hydrates_of_a_salt_driest_first() -> None:
    found = hydrates(BANK, BANK.substances["magnesium sulfate"])
    assert [s.formula for s in found] == [f"MgSO4·{n}H2O" for n in ("", 2, 4, 6, 7)]


def test_a_bare_name_read_as_the_dry_salt_is_noted() -> None:
    note = hydrate_note(BANK, "magnesium sulphate", BANK.substances["magnesium sulfate"])
    assert note is not None
    assert note.severity is Severity.NOTE
    assert "MgSO4·7H2O" in note.hint
    for key in ("sodium chloride", "magnesium sulfate heptahydrate"):
        assert hydrate_note(BANK, key, BANK.substances[key]) is None
    assert (
        hydrate_note(BANK, "anhydrous magnesium sulfate", BANK.substances["magnesium sulfate"])
        is None
    )
