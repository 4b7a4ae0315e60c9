"""Vessels of organic liquids: amounts, heat, volume, boiling, and when they turn to a liquor."""

from __future__ import annotations

import numpy as np
import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.forecast.ground import lay_ground
from firstcrop.forecast.neat import boiling_point, is_neat
from firstcrop.forecast.records import Forecast
from firstcrop.sheet.read import read_sheet
from sample_sheets import codes, told

HEAD = """# An ester

## Materials

| name | substance | strength |
|---|---|---|
| spirit | ethanol | 99.5 % w/w |
| glacial acid | acetic acid | 99.5 % w/w |
| anhydride | acetic anhydride | 99 % w/w, rest acetic acid |
| vitriol | sulfuric acid | 96 % w/w |

## Reactions

- {}

## Vessels

- flask: 250 mL vacuum flask
- beaker: 400 mL low-form beaker

## Steps

"""
ESTER = "C2H4O2 + C2H6O -> C4H8O2 + H2O; half-life 10 min at 75 °C; goes 67 % of the way"
QUICK = "C4H6O3 + C2H6O -> C4H8O2 + C2H4O2"
ASPIRIN = "C7H6O3 + C4H6O3 -> C9H8O4 + C2H4O2"


def text(reaction: str, *steps: str) -> str:
    return HEAD.format(reaction) + "".join(f"{n}. {s}\n" for n, s in enumerate(steps, 1))


def closes(f: Forecast) -> bool:
    return max(abs(b.gap) for b in f.balances) < 1e-9


def dry(f: Forecast, key: str) -> float:
    """mol of a substance beside the liquor at the end of the last step."""
    inside = f.steps[-1].inside[-1]
    return inside.dry.get(key)


def test_an_ester_is_made_as_far_as_the_sheet_says():
    f = told(
        text(
            ESTER,
            "Put 60 mL of glacial acid in the flask.",
            "Add 50 mL of spirit.",
            "Add 1 mL of vitriol.",
            "Reflux for 3 h.",
        )
    )
    # 0.995 x 50 mL x 0.7893 g/mL (CRC) over 46.07 g/mol of ethanol: the one that runs out first
    assert dry(f, "ethyl acetate") == pytest.approx(0.67 * 0.995 * 39.4 / 46.07, rel=0.01)
    assert dry(f, "water") > 0.5
    assert closes(f)
    assert "not a watery liquor" in codes(f)


def test_an_anhydride_warms_alcohol_by_the_heats_of_formation():
    """Heats of formation of the pure liquids (CRC and NBS: ethanol -277.69, acetic anhydride
    -624.4, ethyl acetate -479.3, acetic acid -484.5 kJ/mol) give -61.7 kJ/mol; heat capacities
    112, 171, 124 J/(mol K) and the anhydride's by Kopp's rule."""
    f = told(text(QUICK, "Put 100 mL of spirit in the flask.", "Add 10 mL of anhydride."))
    moles = dry(f, "ethyl acetate")
    assert moles == pytest.approx(10.0 * 1.08 * 0.99 / 102.09, rel=0.02)
    rise = f.steps[-1].peak_temperature.value - f.steps[-1].start.temperature
    spirit = 0.9947 * 78.5 / 46.07 - moles
    capacity = spirit * 112.0 + moles * (171.0 + 124.0)
    # the flask's wall takes some
    assert 0.65 * moles * 61.7e3 / capacity < rise < 1.05 * moles * 61.7e3 / capacity
    assert closes(f)


def test_volumes_of_pure_liquids_add_up():
    f = told(text(QUICK, "Put 60 mL of glacial acid in the flask.", "Add 40 mL of anhydride."))
    assert f.steps[-1].end.volume == pytest.approx(1e-4, rel=1e-3)


def test_salicylic_acid_with_anhydride_by_its_equation():
    """138.12 g makes 180.16 g, and 102.09 g of anhydride is used, 60.05 g of acetic acid made."""
    f = told(
        text(
            ASPIRIN,
            "Put 20 mL of anhydride in the flask.",
            "Add 13.812 g of salicylic acid.",
            "Add 2 drops of vitriol.",
        )
    )
    assert dry(f, "acetylsalicylic acid") == pytest.approx(0.1, rel=1e-3)
    assert dry(f, "salicylic acid") == pytest.approx(0.0, abs=1e-6)
    assert "no solubility" in codes(f)
    assert closes(f)


def test_water_makes_it_a_liquor_again():
    f = told(
        text(
            ESTER,
            "Put 20 mL of glacial acid in the beaker.",
            "Add 15 mL of spirit.",
            "Add 200 mL of water.",
            "Add 10 g of sodium chloride.",
        )
    )
    end = f.steps[-1]
    assert end.end_ph.value < 3.0
    assert end.inside[-1].dry.get("acetic acid") == 0.0
    assert closes(f)


def test_what_is_neat_and_what_it_boils_at():
    reading = read_sheet(text(ESTER, "Put 10 mL of spirit in the flask."))
    ground, _ = lay_ground(reading.preparation, load_bank())
    chem = ground.chem
    amounts = chem.nothing_dry()
    assert not is_neat(chem, chem.nothing(), amounts)
    amounts[chem.dry_index["ethyl acetate"]] = 1.0
    assert is_neat(chem, chem.nothing(), amounts)
    # CRC: 77.1 °C
    assert boiling_point(chem, amounts, 101325.0) == pytest.approx(350.25, abs=0.01)
    wet = chem.nothing()
    wet[0] = 3.0
    assert not is_neat(chem, wet, amounts)
    amounts[chem.dry_index["acetic acid"]] = 1.0
    mixed = boiling_point(chem, amounts, 101325.0)
    # between its liquids' 77.1 and 117.9 °C; at 0.5 mol/mol some 90 °C is measured
    assert 273.15 + 85.0 < mixed < 273.15 + 97.0
    assert boiling_point(chem, np.zeros_like(amounts), 101325.0) == np.inf


def test_a_solid_in_an_organic_liquid_is_filtered_from_it():
    f = told(
        text(
            ESTER,
            "Put 50 mL of glacial acid in the beaker.",
            "Add 10 g of sodium chloride.",
            "Filter; keep the crystals.",
            "Dry in air.",
        )
    )
    (crop,) = f.crops
    assert crop.dry_mass.value == pytest.approx(9.8e-3, rel=0.01)
    assert f.steps[2].end.mass > 45e-3
    assert closes(f)
