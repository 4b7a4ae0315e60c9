"""Hazard tables: codes have wording, members exist, mixtures classify where the law says."""

from __future__ import annotations

import pytest

from firstcrop.bank.air import danger_limit, short_limit
from firstcrop.bank.hazards import (
    codes_at,
    generic_limits,
    hazards_by_substance,
    load_hazards,
    load_statements,
)
from firstcrop.bank.mixing import (
    load_dryings,
    load_gas_hazards,
    load_pairings,
    load_pourings,
    load_rules,
    load_stop_mixtures,
    load_stops,
    mixing_groups,
)
from firstcrop.bank.substances import load_substances
from firstcrop.bank.tables import read_sources

SUBSTANCES = {s.key: s for s in load_substances()}
SOURCES = read_sources()


def test_every_hazard_row() -> None:
    statements = load_statements()
    seen = set()
    for hazard in load_hazards():
        assert hazard.substance in SUBSTANCES
        assert hazard.substance not in seen
        seen.add(hazard.substance)
        assert hazard.source in SOURCES
        for code in hazard.codes:
            assert code in statements, code
        for limit in hazard.limits:
            assert 0.0 <= limit.low < limit.high <= 1.0
            assert limit.code in statements
    assert len(seen) > 0.9 * len(SUBSTANCES)


def test_statements_have_wording() -> None:
    for statement in load_statements().values():
        assert statement.text
        assert statement.source in SOURCES
    for code in generic_limits():
        assert code in load_statements() or code in ("H300", "H310", "H361", "H361f")


# CLP Annex VI specific limits (regulation text): code at a strength in % w/w.
BANDS = (
    ("sulfuric acid", 15.0, {"H314"}),
    ("sulfuric acid", 14.9, {"H315", "H319"}),
    ("sulfuric acid", 4.9, set()),
    ("hydrogen chloride", 31.0, {"H314", "H335"}),
    ("hydrogen chloride", 20.0, {"H315", "H319", "H335"}),
    ("hydrogen chloride", 9.0, set()),
    ("sodium hydroxide", 2.0, {"H314"}),
    ("sodium hydroxide", 1.0, {"H315", "H319"}),
    ("hydrogen peroxide", 3.0, set()),
    ("hydrogen peroxide", 6.0, {"H319"}),
    ("hydrogen peroxide", 12.0, {"H318"}),
    ("acetic acid", 5.0, set()),
    ("acetic acid", 99.0, {"H226", "H314"}),
)


@pytest.mark.parametrize(("key", "percent", "codes"), BANDS)
def test_codes_of_a_mixture(key: str, percent: float, codes: set[str]) -> None:
    found = set(codes_at(hazards_by_substance()[key], percent / 100.0))
    found -= {"H302", "H332"} if key == "hydrogen peroxide" else set()
    found -= {"H226"} if percent < 90.0 else set()
    assert found == codes


def test_the_pure_substance_has_all_its_codes() -> None:
    for hazard in load_hazards():
        assert set(hazard.codes) <= set(codes_at(hazard, 1.0)), hazard.substance


def test_groups_pairs_rules_name_known_things() -> None:
    groups = mixing_groups()
    told_otherwise = (
        "cyanide", "phosphide", "carbide", "alkali metal", "hydride", "azide", "arsenic",
        "chloroform", "violent with water",
    )  # fmt: skip
    for name, members in groups.items():
        assert members or name in told_otherwise  # by formula or name: not on a bench
        assert members <= set(SUBSTANCES)
    for pairing in load_pairings():
        assert {pairing.a, pairing.b} <= set(groups)
        assert pairing.source in SOURCES
        assert pairing.message.endswith(".")
        assert pairing.remedy.endswith(".")
    for mixture in load_stop_mixtures():
        assert set(mixture.groups) <= set(groups)
    for row in (*load_dryings(), *load_pourings()):
        assert row.substance in SUBSTANCES
        assert row.source in SOURCES
    for rule in load_rules():
        assert rule.substance in SUBSTANCES
        assert rule.source in SOURCES


def test_gases_have_figures_or_are_harmless() -> None:
    for gas in load_gas_hazards().values():
        assert gas.source in SOURCES
        if gas.flammable:
            assert gas.lfl is not None
            assert 0.0 < gas.lfl < 0.25
        if gas.toxic and gas.gas not in ("NH2Cl", "ClCN"):
            danger, short = danger_limit(gas.gas), short_limit(gas.gas)
            assert danger is not None
            assert short is not None
            assert 0.0 < short.ppm < danger.ppm


def test_stops_are_identities_only_and_never_a_bench_substance() -> None:
    names = {stop.name.lower() for stop in load_stops()}
    numbers = {stop.cas for stop in load_stops() if stop.cas}
    for s in SUBSTANCES.values():
        assert not names & {n.lower() for n in (s.key, *s.names)}
        assert s.cas not in numbers
