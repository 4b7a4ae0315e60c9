"""Yields and the balance, accounted as the sources of published runs do it."""

from __future__ import annotations

import math
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstcrop.account.account import account
from firstcrop.account.numbers import measured
from firstcrop.account.records import DryingLoss, Dryness, Known, Purity, Weighing
from firstcrop.account.yields import crop_masses, last_weighings, verdicts, yields
from firstcrop.bank.bank import load_bank
from sample_sheets import ALUM, told

GRAM = 1e-3


def test_more_than_theory_is_water_and_says_how_much_at_least():
    """Laboratory report of 24 Jan 2019 on alum from a can: 7.9283 g of 7.3827 g theory, 107.39 %,
    under-dried; if recovery were complete 0.55 g of it would be water."""
    theory = measured(7.3827 * GRAM, 0.0, "kg")
    masses = crop_masses(load_bank(), "", (Weighing(1, 7.9283 * GRAM, 1e-7),), (), ())
    (found,) = yields(masses, theory)
    assert 100 * found.fraction.value == pytest.approx(107.39, abs=0.005)
    (said,) = verdicts(masses, theory)
    assert said.code == "account.above theory"
    assert "0.55 g" in said.message
    assert "constant mass" in said.hint


@pytest.mark.parametrize(
    ("crop", "theory", "printed"),
    [
        (4.77, 9.01, 52.9),  # alum, Laboratory Report 4, 2 Oct 2012: 0.019 mol of theory
        (5.717, 6.247, 91.5),  # K3[Fe(C2O4)3]·3H2O, report “E7”, uncorrected
    ],
)
def test_yields_as_printed(crop, theory, printed):
    masses = crop_masses(load_bank(), "", (Weighing(1, crop * GRAM),), (), ())
    (found,) = yields(masses, measured(theory * GRAM, 0.0, "kg"))
    assert 100 * found.fraction.value == pytest.approx(printed, abs=0.05)
    assert verdicts(masses, measured(theory * GRAM, 0.0, "kg")) == ()


@cache
def alum(mass: float, dryness: Dryness = Dryness.DRY, **more: object):
    weighing = Weighing(1, mass * GRAM, 0.05 * GRAM, dryness)
    return account(told(ALUM), load_bank(), (weighing,), **more)  # type: ignore[arg-type]


def test_the_shares_add_up_to_theory():
    found = alum(37.0)
    assert found.theory is not None
    total = math.fsum(s.mass.value for s in found.shares)
    assert total == pytest.approx(found.theory.value, rel=1e-12)
    assert [s.known for s in found.shares if s.where == "crop 1"] == [Known.WEIGHED]
    assert sum(s.known is Known.DIFFERENCE for s in found.shares) == 1
    assert not any(s.where.startswith("crop 1,") for s in found.shares)


def test_without_a_weighing_the_balance_is_the_forecast():
    found = account(told(ALUM), load_bank())
    assert {s.known for s in found.shares} == {Known.FORECAST}
    assert found.yields == ()
    assert math.isnan(found.mass_intensity.value)
    assert found.mass_intensity.why == "no crop was weighed"


def test_a_crop_far_too_light_asks_where_the_rest_is():
    gap = [v for v in alum(20.0).verdicts if v.code == "account.gap"]
    assert len(gap) == 1
    assert "missing" in gap[0].message
    assert "weaker than its label" in gap[0].hint


def test_a_wet_crop_is_told_to_be_dried():
    codes = {v.code for v in alum(60.0, Dryness.WET).verdicts}
    assert codes == {"account.wet", "account.above theory", "account.gap"}


def test_a_drying_test_and_an_assay_correct_the_mass():
    bank = load_bank()
    loss = DryingLoss(1, 0.5 * GRAM, 0.25 * GRAM, "KAl(SO4)2", 1e-7)
    pure = Purity(1, 0.95, 0.01, "titration")
    weighing = Weighing(1, 40 * GRAM, 1e-5, Dryness.DRY)
    found = account(told(ALUM), bank, (weighing,), (loss,), (pure,))
    by = {y.basis: y.mass.value / GRAM for y in found.yields}
    # 474.39/258.21 g/mol (IUPAC weights) times half of the portion; 95 % of 40 g
    assert by["counted as the hydrate, by a drying test"] == pytest.approx(36.744, abs=0.005)
    assert by["counted as target, by its assay"] == pytest.approx(38.0)
    crop = next(s for s in found.shares if s.where == "crop 1")
    assert crop.mass.value == pytest.approx(0.038)
    assert crop.mass.high - crop.mass.value == pytest.approx(math.hypot(0.0004, 0.95e-5), rel=1e-3)
    assert found.waters[0][1].value == pytest.approx(14.33, abs=0.01)


def test_the_last_dry_weighing_counts():
    kept = last_weighings(
        (
            Weighing(1, 0.05, dryness=Dryness.WET),
            Weighing(1, 0.04, dryness=Dryness.DRY),
            Weighing(1, 0.06, dryness=Dryness.WET),
            Weighing(2, 0.01),
            Weighing(2, 0.02),
        )
    )
    assert [(w.crop, w.mass) for w in kept] == [(1, 0.04), (2, 0.02)]


def test_cost_and_mass_intensity_are_of_what_was_weighed():
    found = alum(40.0, price=(4.0, "EUR"))
    assert found.cost.unit == "EUR/kg"
    assert found.cost.value == pytest.approx(100.0)
    put_in = next(b.put_in for b in told(ALUM).balances if b.quantity == "mass")
    assert found.mass_intensity.value == pytest.approx(put_in / 0.040)


@given(st.floats(1e-6, 10.0), st.floats(0.0, 0.1), st.floats(1e-6, 10.0), st.floats(0.0, 0.1))
def test_a_yield_lies_in_its_band(crop, crop_part, theory, theory_part):
    masses = crop_masses(load_bank(), "", (Weighing(1, crop, crop * crop_part),), (), ())
    (found,) = yields(masses, measured(theory, theory * theory_part, "kg"))
    assert found.fraction.low <= found.fraction.value <= found.fraction.high
