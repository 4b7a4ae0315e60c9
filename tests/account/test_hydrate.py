"""Waters of hydration from drying tests, against what student reports printed."""

from __future__ import annotations

import math

import pytest

from firstcrop.account.hydrate import dry_part, waters
from firstcrop.account.records import DryingLoss
from firstcrop.bank.bank import load_bank

GRAM = 1e-3


@pytest.mark.parametrize(
    ("residue", "before", "after", "printed"),
    [
        # Laboratory Report 4, 2 Oct 2012 (potash alum heated in two crucibles): 12.00 and 12.24
        ("KAl(SO4)2", 0.5000, 0.2721, 12.00),
        ("KAl(SO4)2", 0.5000, 0.2696, 12.24),
        # discussion sheet of an inorganic practical (copper sulfate from waste cable, n.d.):
        # 19.33 g heated to 12.37 g, a loss of 36.01 % where five waters are 36.08 %: 4.98
        ("CuSO4", 19.33, 12.37, 4.98),
    ],
)
def test_waters_found_as_printed(residue, before, after, printed):
    """The reports print two decimals; masses to 0.1 mg shift n by 0.01."""
    found = waters(load_bank(), DryingLoss(1, before * GRAM, after * GRAM, residue, 1e-7))
    assert found.value == pytest.approx(printed, abs=0.012)
    assert found.low < printed < found.high or found.high - found.low < 0.03
    assert found.working is not None
    assert math.prod(t.value for t in found.working.terms) == pytest.approx(found.value, rel=1e-12)


def test_a_damp_crop_counts_as_the_hydrate_it_holds():
    """Report “E7 - Synthesis of Potassium Tris(oxalato)ferrate(III) Trihydrate”: 5.717 g with 4.74
    waters found instead of 3. The dry trihydrate it stands for is 5.37 g, 86.0 % of 6.247 g."""
    bank, residue = load_bank(), "K3Fe(C2O4)3"
    per_water, anhydrous = 18.015, 437.2
    after = 0.500 * GRAM * anhydrous / (anhydrous + 4.74 * per_water)
    loss = DryingLoss(1, 0.500 * GRAM, after, residue)
    assert waters(bank, loss).value == pytest.approx(4.74, abs=0.005)
    dry = 5.717 * dry_part(bank, loss, "K3Fe(C2O4)3·3H2O").value
    assert dry == pytest.approx(5.37, abs=0.01)
    assert 100 * dry / 6.247 == pytest.approx(86.0, abs=0.1)


@pytest.mark.parametrize(
    ("before", "after", "residue"),
    [(1.0, 1.1, "CuSO4"), (1.0, 0.0, "CuSO4"), (1.0, -1.0, "CuSO4"), (1.0, 0.6, "Xx")],
)
def test_weighings_that_make_no_sense_are_not_a_number(before, after, residue):
    found = waters(load_bank(), DryingLoss(1, before, after, residue))
    assert math.isnan(found.value)
    assert found.why
    assert math.isnan(
        dry_part(load_bank(), DryingLoss(1, before, after, residue), "CuSO4·5H2O").value
    )
