"""Every row of the solids, curves and transitions tables stands for something that can be."""

from __future__ import annotations

from collections import Counter

import pytest

from firstcrop.bank.aqueous import load_components
from firstcrop.bank.elements import load_weights
from firstcrop.bank.records import Obtained, Solid
from firstcrop.bank.solids import ZERO_CELSIUS, load_solids, load_transitions, spread
from firstcrop.bank.tables import read_sources, read_table
from firstcrop.chem.formula import Formula, parse_formula
from firstcrop.chem.weights import molar_mass

SOLIDS = load_solids()
BY_KEY = {solid.key: solid for solid in SOLIDS}
CHARGE = {c.key: c.charge for c in load_components()}
FORMULA = {c.key: c.formula for c in load_components()}

# Salts whose solubility really falls somewhere on the way up: the reason beside each.
RETROGRADE = {
    "Na2SO4": "anhydrous, exothermic dissolution",
    "Na2CO3·H2O": "exothermic dissolution",
    "Na2SO3": "exothermic dissolution",
    "FeSO4·H2O": "lower hydrate",
    "ZnSO4·H2O": "lower hydrate",
    "MgSO4·H2O": "lower hydrate",
    "MnSO4·H2O": "lower hydrate",
    "CoSO4·H2O": "lower hydrate",
    "Li2SO4·H2O": "exothermic dissolution",
    "Li2CO3": "exothermic dissolution",
    "Ca(OH)2": "exothermic dissolution",
    "CaSO4·2H2O": "maximum near 40 °C",
    "CaSO3·0.5H2O": "exothermic dissolution",
    "Ca(CH3COO)2·H2O": "minimum near 60 °C",
}


def _formula(text: str) -> Formula:
    parsed = parse_formula(text)
    assert isinstance(parsed, Formula), f"{text}: {parsed}"
    return parsed


def _plain(key: str) -> str:
    return key.split(" (", maxsplit=1)[0]


def _ids(solid: Solid) -> str:
    return solid.key


def test_there_are_enough_and_none_twice() -> None:
    assert len(SOLIDS) >= 150
    assert max(Counter(s.key for s in SOLIDS).values()) == 1
    assert sum(len(s.curve) > 1 for s in SOLIDS) >= 100


@pytest.mark.parametrize("solid", SOLIDS, ids=_ids)
def test_components_are_known_and_make_up_the_formula(solid: Solid) -> None:
    assert sum(CHARGE[key] * count for key, count in solid.components) == 0
    total: Counter[str] = Counter()
    for key, count in solid.components:
        for symbol, number in _formula(FORMULA[key]).elements:
            total[symbol] += count * float(number)
    made = {symbol: number for symbol, number in total.items() if abs(number) > 1e-9}
    wanted = {s: float(n) for s, n in _formula(_plain(solid.key)).elements}
    assert made == pytest.approx(wanted)


@pytest.mark.parametrize("solid", SOLIDS, ids=_ids)
def test_crystal_water_is_what_the_anhydrous_formula_lacks(solid: Solid) -> None:
    whole = molar_mass(_formula(_plain(solid.key)), load_weights())
    bare = molar_mass(_formula(solid.anhydrous), load_weights())
    water = molar_mass(_formula("H2O"), load_weights())
    assert isinstance(whole, tuple)
    assert isinstance(bare, tuple)
    assert isinstance(water, tuple)
    assert whole[0] - bare[0] == pytest.approx(solid.water * water[0], abs=1e-9)


@pytest.mark.parametrize("solid", SOLIDS, ids=_ids)
def test_values_are_physical_and_have_a_source(solid: Solid) -> None:
    sources = read_sources()
    for datum in (
        solid.density,
        solid.formation,
        solid.heat_capacity,
        solid.log_k,
        solid.log_k_enthalpy,
    ):
        if datum is not None:
            assert datum.source in sources, datum.label
    if solid.density is not None:
        assert 1000.0 < solid.density.value < 7000.0
    if solid.formation is not None:
        assert -10e6 < solid.formation.value < -40e3
    if solid.heat_capacity is not None:
        assert 30.0 < solid.heat_capacity.value < 800.0
    assert solid.filters in {"crystalline", "powder", "gelatinous", "curdy"}
    assert solid.curve or solid.log_k is not None
    assert solid.stable[0] < solid.stable[1]


@pytest.mark.parametrize("solid", [s for s in SOLIDS if s.curve], ids=_ids)
def test_a_curve_lies_between_bounds_and_rises_unless_listed(solid: Solid) -> None:
    sources = read_sources()
    for point in solid.curve:
        assert point.source in sources
        assert 0.0 < point.value <= 1000.0
        assert 0.004 * point.value < point.band < 0.5 * point.value or point.value < 0.1
        assert ZERO_CELSIUS - 0.1 <= point.temperature <= ZERO_CELSIUS + 100.6
    temperatures = [p.temperature for p in solid.curve]
    assert temperatures == sorted(set(temperatures))
    if solid.key not in RETROGRADE:
        values = [p.value for p in solid.curve]
        assert values == sorted(values), list(zip(temperatures, values, strict=True))


@pytest.mark.parametrize("solid", [s for s in SOLIDS if s.curve], ids=_ids)
def test_a_curve_stays_where_its_hydrate_is_stable(solid: Solid) -> None:
    low, high = solid.stable
    assert all(low - 1.1 <= p.temperature <= high + 1.1 for p in solid.curve)


def test_transitions_join_two_solids_of_one_salt() -> None:
    sources = read_sources()
    for change in load_transitions():
        below, above = BY_KEY[change.below], BY_KEY[change.above]
        assert below.anhydrous == above.anhydrous
        assert below.water > above.water  # heat drives water out
        assert below.stable[1] == above.stable[0] == change.temperature
        assert change.source in sources
        for solid in (below, above):
            assert any(p.place == change.place for p in solid.curve)


def test_curve_rows_name_a_solid_and_say_what_was_printed() -> None:
    rows = read_table("curves")
    assert {row.text("solid") for row in rows} <= set(BY_KEY)
    for row in rows:
        if row.text("source") == "crc98sol":
            percent = float(row.text("where").split(", ")[1].removesuffix(" mass %"))
            assert row.number("value") == pytest.approx(100 * percent / (100 - percent), rel=1e-5)


def test_what_is_remembered_is_marked_so() -> None:
    citations = read_sources()
    for solid in SOLIDS:
        for point in solid.curve:
            if "from memory" in citations[point.source].citation:
                assert point.obtained in {Obtained.MEMORY, Obtained.ESTIMATE}
    alum = BY_KEY["KAl(SO4)2·12H2O"]
    assert {p.obtained for p in alum.curve} == {Obtained.MEMORY}


def test_other_sources_are_kept_beside_the_curve_and_tell_how_far_they_disagree() -> None:
    """Mohr's salt: the web table is 14 to 40 % above the handbook's curve; salts with one source
    only have no spread."""
    sources = read_sources()
    told = [solid for solid in SOLIDS if solid.others]
    assert len(told) >= 8
    for solid in told:
        assert all(p.source in sources for p in solid.others)
        own = {(p.temperature, p.source) for p in solid.curve}
        assert all((p.temperature, p.source) not in own for p in solid.others)
    assert 0.14 < spread(BY_KEY["(NH4)2Fe(SO4)2·6H2O"]) < 0.45
    assert spread(BY_KEY["Ca(OH)2"]) == pytest.approx(0.045, abs=0.03)
    assert spread(BY_KEY["CuSO4·5H2O"]) == 0.0
