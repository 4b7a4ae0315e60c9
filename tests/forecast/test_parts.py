"""Small parts: roots, rates, strengths, hold-up, practice rows."""

from __future__ import annotations

import math

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.bank.practice import load_means, load_practice
from firstcrop.forecast.ground import lay_ground
from firstcrop.forecast.kinetics import Declared, Progress, advance, rate_constant
from firstcrop.forecast.knobs import Knobs
from firstcrop.forecast.roots import bracketed, grown
from firstcrop.forecast.stock import make_stock, mass_fraction, solution_density
from firstcrop.laws.holdup_hughmark_1967 import holdup
from firstcrop.quantity.records import Basis
from firstcrop.sheet.read import read_sheet
from sample_sheets import sheet

BANK = load_bank()


def test_a_root_is_found_and_its_absence_told():
    assert bracketed(lambda x: x**3 - 2.0, 0.0, 2.0, 1e-12) == pytest.approx(2.0 ** (1 / 3))
    assert bracketed(lambda x: x + 1.0, 0.0, 2.0, 1e-9) is None
    assert grown(lambda x: x - 100.0, 1.0, 50.0) is None
    span = grown(lambda x: x - 100.0, 1.0, 1e3)
    assert span is not None
    assert span[0] < 100.0 <= span[1]


def _declared(order: str) -> Declared:
    text = sheet("Put 1 mL of water in the beaker.").replace(
        "## Steps", f"## Reactions\n\n- Zn + 2 HCl -> ZnCl2 + H2; {order}\n\n## Steps"
    )
    ground, problems = lay_ground(read_sheet(text).preparation, BANK)
    assert not [p for p in problems if p.severity.value == "error"]
    return ground.reactions[0]


def test_first_order_halves_in_its_half_life_and_steps_compose():
    d = _declared("half-life 10 min at 25 °C; doubles every 10 °C")
    k = rate_constant(d, 298.15, 600.0)
    done, _ = advance(d, Progress(), 1.0, k, 600.0, 1.0)
    assert done == pytest.approx(0.5, rel=1e-12)
    assert rate_constant(d, 308.15, 600.0) == pytest.approx(2.0 * k)
    first, p = advance(d, Progress(), 1.0, k, 250.0, 1.0)
    second, _ = advance(d, p, 1.0 - first, k, 350.0, 1.0)
    assert first + second == pytest.approx(done, rel=1e-12)


def test_an_extent_is_not_passed_however_often_it_is_asked():
    d = _declared("goes 92 % of the way")
    progress, total = Progress(), 0.0
    for _ in range(5):
        step, progress = advance(d, progress, 1.0 - total, 0.0, 1.0, 0.92)
        total += step
    assert total == pytest.approx(0.92, rel=1e-12)


def test_zinc_needs_acid_and_no_component_is_lost():
    d = _declared("half-life 10 min at 25 °C")
    assert d.needs_acid == pytest.approx(2.0)
    assert [n for _, n in d.dry_needs] == [1.0]
    # Zn+2(aq) -153.89, H2(aq) -4.2 kJ/mol, NBS Tables 1982
    assert d.heat == pytest.approx(-158.1e3, abs=500.0)


def _material(strength: str):
    text = sheet("Put 1 mL of stuff in the beaker.").replace(
        "| lye |", f"| stuff | sulfuric acid | {strength} | |\n| lye |"
    )
    ground, _ = lay_ground(read_sheet(text).preparation, BANK)
    return ground, ground.materials["stuff"]


def test_one_solution_in_every_basis():
    ground, material = _material("30 % w/w")
    density = solution_density(ground.chem, material, 0.30)
    # 1.2185 g/mL at 20 °C for 30 % sulfuric acid, International Critical Tables III, 56
    assert density == pytest.approx(1218.5, rel=3e-3)
    molar = 0.30 * density / material.substance.molar_mass
    asked = (
        (Basis.WW, 0.30),
        (Basis.MOLARITY, molar),
        (Basis.NORMALITY, 2.0 * molar),
        (Basis.WV, 0.30 * density),
        (Basis.MASS_CONCENTRATION, 0.30 * density),
        (Basis.DENSITY, density),
        (Basis.MOLALITY, 0.30 / 0.70 / material.substance.molar_mass),
    )
    for basis, value in asked:
        found = mass_fraction(ground.chem, material, basis, value)
        assert found == pytest.approx(0.30, rel=1e-6), basis


def test_a_saturated_solution_is_as_the_curve_says():
    text = sheet("Put 1 mL of brine in the beaker.").replace(
        "| lye |", "| brine | sodium chloride | saturated at 20 °C | |\n| lye |"
    )
    ground, _ = lay_ground(read_sheet(text).preparation, BANK)
    stock = make_stock(ground.chem, ground.materials["brine"], Knobs(), ground.hydrates)
    # 35.9 g in 100 g water at 20 °C (CRC)
    assert stock.strength == pytest.approx(35.9 / 135.9, rel=0.01)


def test_an_impossible_strength_is_told():
    ground, material = _material("30 % w/w")
    found = mass_fraction(ground.chem, material, Basis.MOLARITY, 40e3)
    assert not isinstance(found, float)
    assert found.code == "impossible strength"


def test_holdup_is_zero_without_gas_and_below_a_half():
    assert holdup(0.0) == 0.0
    # Hughmark's own formula at 5 cm/s in water: 1 / (2 + 0.35/0.05)
    assert holdup(0.05) == pytest.approx(1.0 / 9.0, rel=3e-3)
    assert 0.0 < holdup(0.004) < holdup(0.45) < 0.5


def test_every_practice_row_is_in_its_bounds_and_sourced():
    sources = BANK.sources
    for row in load_practice().values():
        assert row.low <= row.value <= row.high, row.key
        assert math.isfinite(row.value)
        assert row.datum.source in sources
        assert row.datum.label
    for means in load_means().values():
        assert means.coefficient in load_practice()
        assert not means.power or means.power in load_practice()
