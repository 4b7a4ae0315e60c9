"""Labels of mixtures: additivity, own limits, M-factors, precedence of statements and pictures."""

from __future__ import annotations

import re

import pytest

from firstcrop.bank.air import air_limits
from firstcrop.bank.cautions import load_wordings
from firstcrop.bank.ghs import (
    acute_bands,
    carrier_of,
    flash_points,
    load_carriers,
    load_details,
    load_precautions,
    mixture_limits,
)
from firstcrop.bank.hazards import hazards_by_substance, load_statements
from firstcrop.bank.mixing import load_pairings
from firstcrop.bank.waste import waste_rules
from firstcrop.cautions.ghs.classify import COVERS, classify
from firstcrop.cautions.ghs.ingredient import Ingredient, ingredient, unknown
from firstcrop.cautions.ghs.label import label
from firstcrop.forecast.records import Bottle
from firstcrop.problems import Problem
from firstcrop.quantity.read import read_strength
from firstcrop.run import label_of

from .sheets import BANK


def mix(*parts: tuple[str, float]) -> tuple[Ingredient, ...]:
    return tuple(ingredient(BANK.substances[name], percent / 100.0) for name, percent in parts)


def test_every_row_of_the_tables_can_be_used() -> None:
    statements, precautions = load_statements(), load_precautions()
    for result, rows in mixture_limits().items():
        assert result in statements
        assert all(row.origin in statements and 0.0 < row.share <= 1.0 for row in rows)
    for bands in acute_bands().values():
        assert [b.up_to for b in bands] == sorted(b.up_to for b in bands)
        assert all(b.converted <= b.up_to for b in bands)
    for key in (*load_details(), *flash_points()):
        assert key in BANK.substances
        assert key in hazards_by_substance()
    for component, carriers in load_carriers().items():
        assert component in BANK.components
        for carrier in carriers:
            assert carrier.substance in hazards_by_substance()
            assert component in dict(BANK.substances[carrier.substance].components)
    for statement in statements.values():
        assert all(p in precautions or p in ("P320", "P321") for p in statement.precautions)


def test_two_weak_acids_add_up_where_each_alone_does_not() -> None:
    assert "H315" not in classify(mix(("acetic acid", 6.0))).codes
    assert "H315" not in classify(mix(("formic acid", 1.9))).codes
    assert "H315" in classify(mix(("acetic acid", 6.0), ("formic acid", 1.9))).codes


def test_acid_and_salt_that_damage_eyes_count_once() -> None:
    found = classify(mix(("hydrogen peroxide", 5.0), ("hydrogen chloride", 12.0)))
    assert "H318" in found.codes  # 5/8 + 12/25 is more than one
    assert "H319" not in found.codes


def test_m_factors_reach_water_life_early() -> None:
    """Silver nitrate counts a thousandfold: 0.03 % is very toxic to water life."""
    assert "H400" in classify(mix(("silver nitrate", 0.03))).codes
    assert "H400" not in classify(mix(("silver nitrate", 0.02))).codes
    assert "H410" in classify(mix(("silver nitrate", 0.3))).codes


def test_cancer_is_not_added_up() -> None:
    two = mix(("nickel(II) sulfate heptahydrate", 0.06), ("potassium chromate", 0.06))
    assert not {"H350", "H350i"} & set(classify(two).codes)
    assert "H350i" in classify(mix(("nickel(II) sulfate heptahydrate", 0.11))).codes


def test_what_nobody_knows_is_told_and_corrects_the_estimate() -> None:
    mixture = (*mix(("sodium nitrite", 20.0)), unknown("dye", 0.5))
    found = classify(mixture)
    assert any("unknown acute toxicity" in gap for gap in found.gaps)
    assert any("dye" in gap for gap in found.gaps)


PICTURES = (
    (("sodium nitrite", 100.0), {"GHS03", "GHS06", "GHS09"}),
    (("sodium hydroxide", 100.0), {"GHS05"}),
    (("oxalic acid", 100.0), {"GHS07"}),
    (("potassium hydroxide", 85.0), {"GHS05", "GHS07"}),
    (("sodium chloride", 100.0), set()),
    (("ammonium peroxodisulfate", 100.0), {"GHS03", "GHS07", "GHS08"}),
)


@pytest.mark.parametrize(("part", "pictures"), PICTURES)
def test_pictograms_keep_their_precedence(part: tuple[str, float], pictures: set[str]) -> None:
    assert set(label("it", "bottle", mix(part), form="dust").pictograms) == pictures


def test_signal_words() -> None:
    assert label("it", "bottle", mix(("potassium nitrate", 100.0)), form="dust").signal == "Warning"
    assert label("it", "bottle", mix(("silver nitrate", 100.0)), form="dust").signal == "Danger"
    assert label("it", "bottle", mix(("sodium chloride", 100.0)), form="dust").signal == ""


def test_a_small_label_shows_six_precautions_and_not_the_weaker_twin() -> None:
    found = label("it", "bottle", mix(("sodium nitrite", 100.0), ("nitric acid", 65.0)))
    assert len(found.brief) == 6
    codes = {code for code, _ in found.precautions}
    assert "P301+P310" in codes
    assert "P301+P312" not in codes
    assert "P260" in codes
    assert "P261" not in codes


def test_a_pure_classified_substance_keeps_all_its_codes() -> None:
    """Classifying a substance alone gives back its own codes, less those a graver one covers."""
    for key, hazard in hazards_by_substance().items():
        substance = BANK.substances[key]
        form = {"solid": "dust", "liquid": "vapour"}.get(substance.phase, "gas")
        found = set(classify((ingredient(substance, 1.0),), form=form).codes)
        covered = {code for lead, codes in COVERS if lead in found for code in codes}
        assert set(hazard.codes) <= found | covered, key


def test_the_label_of_a_bottle_on_the_shelf() -> None:
    strength = read_strength("35 % w/w")
    assert not isinstance(strength, Problem)
    known = label_of(Bottle("battery", "sulfuric acid", strength), BANK)
    assert known.codes == ("H314",)
    assert known.signal == "Danger"
    weak = label_of(Bottle("vinegar", "acetic acid", read_strength("5 % w/w")), BANK)  # type: ignore[arg-type]
    assert weak.codes == ()
    nobody_knows = label_of(Bottle("acid", "sulfuric acid", None), BANK)
    assert "H314" in nobody_knows.codes


def test_no_wording_promises_safety() -> None:
    texts = [(w.message, w.why, w.remedy) for w in load_wordings().values()]
    texts += [(p.message, p.remedy, "") for p in load_pairings()]
    texts += [(r.words, r.equation, "") for r in waste_rules().values()]
    for row in texts:
        assert not re.search(r"\bsafe(ly)?\b", " ".join(row)), row


def test_every_wording_pair_and_rule_names_its_source() -> None:
    words = ("the sheet", "the forecast", "boiling point of water at sea level")
    for wording in load_wordings().values():
        assert wording.source in BANK.sources or wording.source.startswith((*words, "{"))
    for rule in waste_rules().values():
        assert rule.source in BANK.sources
    for limits in air_limits().values():
        assert all(limit.source in BANK.sources for limit in limits)


def test_a_component_counts_as_what_it_is_at_the_ph() -> None:
    assert carrier_of("NH4+", 5.0) == "ammonium chloride"
    assert carrier_of("NH4+", 11.0) == "ammonia"
    assert carrier_of("CH3COO-", 2.5) == "acetic acid"
    assert carrier_of("CH3COO-", 9.0) == "sodium acetate"
    assert carrier_of("Cu+2", float("nan")) == "copper(II) sulfate pentahydrate"
    assert carrier_of("Xx+2", 7.0) == ""
