"""The further crop: forecast from the very liquor that is left."""

from __future__ import annotations

from firstcrop.account.second import PARTS, Further, advice, further_crop
from firstcrop.bank.bank import load_bank
from firstcrop.forecast.pipeline import forecast

SALTPETRE = """# Saltpetre, cleaned

Makes potassium nitrate, KNO3.

## Materials

| name | substance | strength | notes |
|---|---|---|---|
| saltpetre | potassium nitrate | | |

## Vessels

- beaker: 100 mL low-form beaker

## Steps

1. Put 50 mL of water in the beaker. Add 30 g of saltpetre.
2. Heat to 70 °C and hold for 5 min.
3. Cool to 20 °C in cold water over 30 min.
4. Filter; keep the crystals. Dry in air.

## Observed

- crop: 14 g
"""


def test_boiling_down_gives_what_the_solubility_leaves():
    """At 5 °C 100 g water keep 16.6 g KNO3 (CRC Handbook, interpolated between 13.6 at 0 °C and
    21.2 at 10 °C); the crop is what the liquor held beyond that, less what paper keeps."""
    bank = load_bank()
    told = forecast(SALTPETRE, bank, with_bands=False)
    found = further_crop(SALTPETRE, told, bank)
    assert len(found) == len(PARTS)
    assert found[1].volume < found[0].volume
    assert found[1].mass > found[0].mass > 0.0
    left = told.crops[0].left_in_liquor.value
    assert found[0].mass < left
    assert all(f.purity > 0.999 for f in found)  # nothing else is there
    assert "A crop 2 is there to be had" in advice(found, 0.030, 2)


def test_advice_says_when_it_is_not_worth_it_or_not_pure():
    assert "not worth" in advice((Further(1e-5, 1e-5, 0.99),), 0.030, 2)
    assert "Recrystallise" in advice((Further(1e-5, 3e-3, 0.80),), 0.030, 2)
    assert advice((), 0.030, 2) == ""


def test_a_run_without_a_liquor_has_no_further_crop():
    plain = SALTPETRE[: SALTPETRE.index("3. Cool")]
    assert further_crop(plain, forecast(plain, load_bank(), with_bands=False), load_bank()) == ()
