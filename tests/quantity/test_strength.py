"""Strengths in every spelling; the message for every wrong one."""

from __future__ import annotations

import pytest

from firstcrop.problems import Place, Problem
from firstcrop.quantity.read import read_strength, read_strength_noted
from firstcrop.quantity.records import Basis, Strength

READ = [
    ("97 ± 1 % w/w", 0.97, Basis.WW, 0.01, "water"),
    ("85 ± 2 % w/w, rest water", 0.85, Basis.WW, 0.02, "water"),
    *[
        (t, 0.3, Basis.WW, 0.0, "water")
        for t in (
            "30 %",
            "30 % w/w",
            "30% (w/w)",
            "30 wt%",
            "30 wt.-%",
            "30 % by weight",
            "30 % by mass",
            "30 % m/m",
            "30 % aqueous",
            "aqueous 30 % w/w",
            "30 % solution in water",
        )
    ],
    *[
        (t, 0.5, Basis.VV, 0.0, "water")
        for t in ("50 % v/v", "50 vol%", "50 % vol", "50 % by volume", "50 % ABV")
    ],
    *[(t, 100.0, Basis.WV, 0.0, "water") for t in ("10 % w/v", "10 % (m/v)", "10 g/100 mL")],
    *[
        (t, 2000.0, Basis.MOLARITY, 0.0, "water")
        for t in ("2 M", "2 mol/L", "2 mol/l", "2 mol L-1", "2 mol dm-3", "2 molar", "2 mol·L⁻¹")
    ],
    ("500 mmol/L", 500.0, Basis.MOLARITY, 0.0, "water"),
    ("5 mM", 5.0, Basis.MOLARITY, 0.0, "water"),
    ("0.5 M in ethanol", 500.0, Basis.MOLARITY, 0.0, "ethanol"),
    ("0.1 N", 100.0, Basis.NORMALITY, 0.0, "water"),
    ("2 normal", 2000.0, Basis.NORMALITY, 0.0, "water"),
    ("1 mol/kg", 1.0, Basis.MOLALITY, 0.0, "water"),
    ("1 molal", 1.0, Basis.MOLALITY, 0.0, "water"),
    ("250 g/L", 250.0, Basis.MASS_CONCENTRATION, 0.0, "water"),
    ("5 mg/mL", 5.0, Basis.MASS_CONCENTRATION, 0.0, "water"),
    ("200 ppm", 2e-4, Basis.WW, 0.0, "water"),
    ("density 1.84 g/mL", 1840.0, Basis.DENSITY, 0.0, "water"),
    ("1.84 g/cm3", 1840.0, Basis.DENSITY, 0.0, "water"),
    ("sp. gr. 1.84", 1840.0, Basis.DENSITY, 0.0, "water"),
    ("d = 1.18 ± 0.01", 1180.0, Basis.DENSITY, 10.0, "water"),
    ("saturated at 20 °C", 293.15, Basis.SATURATED, 0.0, "water"),
    ("sat. at 20 ± 1 C", 293.15, Basis.SATURATED, 1.0, "water"),
    ("pure", 1.0, Basis.WW, 0.0, "water"),
    ("≥ 99 %", 0.995, Basis.WW, 0.005, "water"),
    ("min. 99 % w/w", 0.995, Basis.WW, 0.005, "water"),
    ("< 5 %", 0.025, Basis.WW, 0.025, "water"),
    ("5–15 %", 0.1, Basis.WW, 0.05, "water"),
    ("70 % w/w, balance isopropyl alcohol", 0.7, Basis.WW, 0.0, "isopropyl alcohol"),
    ("30 % ± 1 % w/w", 0.3, Basis.WW, 0.01, "water"),
    ("2 mol/L ± 1 %", 2000.0, Basis.MOLARITY, 20.0, "water"),
    ("99,5 %", 0.995, Basis.WW, 0.0, "water"),
    ("about 10 % w/v", 100.0, Basis.WV, 10.0, "water"),
]

WRONG = [
    ("", "strength-empty", 1, "no strength"),
    ("120 % w/w", "strength-impossible", 1, "more than there is"),
    ("101 %", "strength-impossible", 1, "more than there is"),
    ("-5 % w/w", "strength-impossible", 1, "negative"),
    ("150 mol/L", "strength-impossible", 1, "100 mol/L"),
    ("1.84 kg/m3", "strength-impossible", 1, "g/mL"),
    ("saturated", "strength-saturated", 1, "saturated at 20 °C"),
    ("saturated at 5 g", "strength-saturated", 14, "temperature"),
    ("concentrated", "strength-vague", 1, "label"),
    ("technical grade", "strength-vague", 1, "label"),
    ("20 vol", "strength-unit", 1, "% w/w"),
    ("38 °Bé", "strength-unit", 1, "density"),
    ("5 g", "strength-unit", 1, "no unit of strength"),
    ("5", "strength-unit", 1, "needs a unit"),
    ("≥ 2 mol/L", "strength-bound", 1, "range"),
    ("3 % w/w foo", "strength-trailing", 9, "foo"),
    ("37 % w/w, rest", "strength-rest", 15, "not named"),
    ("strongish", "quantity-number", 1, "no number"),
    ("3" * 300, "strength-long", 1, "too long"),
]


@pytest.mark.parametrize(("text", "value", "basis", "band", "rest"), READ)
def test_read(text: str, value: float, basis: Basis, band: float, rest: str) -> None:
    found = read_strength(text)
    assert isinstance(found, Strength), found
    assert (found.basis, found.rest, found.text) == (basis, rest, text)
    assert found.value == pytest.approx(value, rel=1e-12)
    assert found.band == pytest.approx(band, rel=1e-12)


@pytest.mark.parametrize(("text", "code", "column", "told"), WRONG)
def test_wrong_strengths_say_where_and_what(text: str, code: str, column: int, told: str) -> None:
    problem = read_strength(text, Place(5, 21, max(len(text), 1)))
    assert isinstance(problem, Problem), problem
    assert (problem.code, problem.places[0].column) == (code, 20 + column), problem
    assert told in f"{problem.message} {problem.hint}"


def test_a_bare_per_cent_and_a_limit_are_noted() -> None:
    _, notes = read_strength_noted("≥ 99 %")
    assert [n.code for n in notes] == ["strength-basis", "strength-bound"]
    _, notes = read_strength_noted("99 % w/w")
    assert notes == ()
