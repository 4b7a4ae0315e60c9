"""What it means when a balance does not close."""

from __future__ import annotations

from firstcrop.account.numbers import measured
from firstcrop.account.records import Known, Share
from firstcrop.account.rest import rest_verdict


def gap(value: float, band: float):
    return rest_verdict((Share("x", measured(value, band, "kg"), Known.DIFFERENCE),))


def test_a_difference_within_the_bands_is_not_worth_a_word():
    assert gap(0.001, 0.002) is None
    assert rest_verdict(()) is None


def test_a_difference_beyond_the_bands_is_told_with_its_size():
    missing, surplus = gap(0.005, 0.002), gap(-0.005, 0.002)
    assert missing is not None
    assert "5 g of target are missing" in missing.message
    assert surplus is not None
    assert "5 g more" in surplus.message
