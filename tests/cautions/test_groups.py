"""Every substance is in the groups its make-up calls for, listed or not."""

from __future__ import annotations

import pytest

from firstcrop.bank.mixing import mixing_groups
from firstcrop.cautions.groups import formula_groups, groups_of, guessed_groups

from .sheets import BANK

BY_PART = (
    ("CO3-2", "carbonate"),
    ("ClO-", "hypochlorite"),
    ("SO3-2", "sulfite"),
    ("S2O3-2", "thiosulfate"),
    ("HS-", "sulfide"),
    ("Fe(CN)6-3", "iron cyanide"),
    ("Fe(CN)6-4", "iron cyanide"),
    ("NH4+", "ammonia or amine"),
    ("NO2-", "nitrite"),
    ("F-", "fluoride"),
    ("SCN-", "thiocyanate"),
    ("ClO3-", "chlorate"),
    ("MnO4-", "permanganate"),
    ("CrO4-2", "dichromate"),
)


@pytest.mark.parametrize(("part", "group"), BY_PART)
def test_what_dissolves_into_it_belongs_to_its_group(part: str, group: str) -> None:
    """So that a new row of the bank cannot slip past the cautions."""
    with_it = [s for s in BANK.substances.values() if part in dict(s.components)]
    assert with_it
    for substance in with_it:
        if substance.phase != "gas":
            assert group in groups_of(substance), substance.key


def test_what_brings_protons_is_an_acid_or_an_acidic_salt() -> None:
    not_acids = {"sodium hydrogencarbonate", "boric acid"}
    for key, s in BANK.substances.items():
        parts = dict(s.components)
        if parts.get("H+", 0.0) <= 0.0 or s.phase == "gas" or parts.keys() & {"SO3-2", "CrO4-2"}:
            continue
        told = groups_of(s) & {"acid", "acidic salt", "carbonate"}
        assert told or key in not_acids or "hydrogen phosphate" in key, key


def test_hydrates_of_one_salt_share_their_groups() -> None:
    seven = BANK.substances["iron(II) sulfate heptahydrate"]
    one = BANK.substances["iron(II) sulfate monohydrate"]
    assert groups_of(seven) == groups_of(one)


FORMULAS = (
    ("KCN", "cyanide"),
    ("NaCN", "cyanide"),
    ("Na2S", "sulfide"),
    ("FeS", "sulfide"),
    ("NaHS", "sulfide"),
    ("(NH4)2S", "sulfide"),
    ("Zn3P2", "phosphide"),
    ("CaC2", "carbide"),
    ("NaH", "hydride"),
    ("Na", "alkali metal"),
    ("KOH", "caustic"),
    ("KClO", "hypochlorite"),
    ("Ca(OCl)2", "hypochlorite"),
    ("KClO3", "chlorate"),
    ("Rb2CO3", "carbonate"),
    ("LiNO2", "nitrite"),
    ("CaF2", "fluoride"),
)


@pytest.mark.parametrize(("formula", "group"), FORMULAS)
def test_a_formula_tells_its_group(formula: str, group: str) -> None:
    assert group in formula_groups(formula)


NOT = (
    ("KClO3", "hypochlorite"),
    ("K4Fe(CN)6", "cyanide"),
    ("KSCN", "cyanide"),
    ("NaNO3", "nitrite"),
    ("Na2SO4", "sulfite"),
    ("Na2S2O3", "sulfite"),
    ("NaCl", "alkali metal"),
)


@pytest.mark.parametrize(("formula", "group"), NOT)
def test_a_formula_tells_no_group_it_is_not_in(formula: str, group: str) -> None:
    assert group not in formula_groups(formula)


NAMES = (
    ("thick toilet bleach", "hypochlorite"),
    ("mould remover spray", "hypochlorite"),
    ("oxygen bleach powder", "peroxide"),
    ("limescale remover", "acid"),
    ("sulphuric acid drain opener", "acid"),
    ("cloudy ammonia", "ammonia or amine"),
    ("liver of sulphur", "sulfide"),
    ("nail varnish remover", "ketone"),
    ("galvanised wire", "reactive metal"),
)


@pytest.mark.parametrize(("name", "group"), NAMES)
def test_a_name_nobody_knows_is_taken_by_its_words(name: str, group: str) -> None:
    assert group in guessed_groups(name)


def test_the_longer_word_wins() -> None:
    assert "hypochlorite" not in guessed_groups("oxygen bleach")
    assert "sulfide" not in guessed_groups("sodium sulfite")
    assert guessed_groups("distilled moonlight") == frozenset()


def test_every_word_leads_to_a_group_of_the_table() -> None:
    from firstcrop.bank.matrix import epa_groups, name_words

    known = set(mixing_groups())
    for _, groups in name_words():
        assert groups <= known
    for group in epa_groups():
        assert group.groups <= known
        assert group.members <= set(BANK.substances)
