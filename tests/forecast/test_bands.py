"""Bands: what moves a number, by how much, and that it agrees with moving the input by hand."""

from __future__ import annotations

import pytest

from sample_sheets import HEAD, sheet, told

HEAD_BAND = HEAD.replace("| 30 % w/w |", "| 30 ± 2 % w/w |")


def test_a_strength_moves_the_volume_to_a_ph():
    steps = ("Put 50 mL of lye in the beaker.", "Add ? mL of acid to pH 7.")
    f = told(sheet(*steps, head=HEAD_BAND), True)
    number = f.blanks[0].number
    assert number.low < number.value < number.high
    top = number.influences[0]
    assert "strength of acid" in top.label
    for strength, bound in (("28", number.value + top.down), ("32", number.value + top.up)):
        by_hand = told(sheet(*steps, head=HEAD.replace("| 30 % w/w |", f"| {strength} % w/w |")))
        assert by_hand.blanks[0].number.value == pytest.approx(bound, rel=1e-4)


def test_a_written_spread_of_an_amount_is_felt():
    f = told(sheet("Put 50 ± 5 mL of water in the beaker.", "Add 10 g of sodium hydroxide."), True)
    number = f.steps[1].peak_temperature
    assert any("amount of water" in i.label for i in number.influences)
    assert number.low < number.value < number.high


def test_what_is_certain_has_no_band():
    f = told(sheet("Put 50 mL of water in the beaker.", "Heat to 60 °C."), True)
    number = f.steps[1].end_temperature
    assert number.low == pytest.approx(number.value, abs=1e-9)
    assert number.high == pytest.approx(number.value, abs=1e-9)


def test_the_solubility_of_the_crop_is_an_influence():
    f = told(
        sheet(
            "Put 50 mL of water in the beaker.",
            "Add 40 g of potassium nitrate.",
            "Heat to 60 °C.",
            "Cool to 5 °C in an ice bath.",
            "Filter; keep the crystals.",
        ),
        True,
    )
    number = f.crops[0].dry_mass
    assert any(i.label.startswith("solubility of KNO3") for i in number.influences)
    assert number.low < number.value < number.high


def test_the_heats_own_error_moves_what_they_warm_and_nothing_else():
    """A rise of some 25 K moves by five per cent of itself; warm water put to cold does not, and
    heat stays in balance."""
    f = told(sheet("Put 100 g of water in the beaker.", "Add 5 g of sodium hydroxide."), True)
    peak = f.steps[1].peak_temperature
    felt = [i for i in peak.influences if i.label.startswith("error of the tables' heats")]
    rise = peak.value - f.steps[0].end_temperature.value
    assert len(felt) == 1
    assert felt[0].up == pytest.approx(0.05 * rise, rel=0.1)
    assert felt[0].down == pytest.approx(-0.05 * rise, rel=0.1)
    warm = told(
        sheet("Put 100 g of water in the beaker.", "Add 50 g of water at 80 °C to the beaker."),
        True,
    )
    for influence in warm.steps[1].end_temperature.influences:
        if influence.label.startswith("error of the tables' heats"):
            assert abs(influence.up) < 0.05
