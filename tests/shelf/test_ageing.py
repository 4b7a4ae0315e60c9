"""Strength today: bleach by its law, peroxide by what was watched, hydrates by the damp."""

from __future__ import annotations

from datetime import date

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.laws.hypochlorite_adam_1999 import hypochlorite_left
from firstcrop.shelf.ageing import Case, practice, warmth
from firstcrop.shelf.ageing_rules import weathers_below
from firstcrop.shelf.records import Assay, Level
from firstcrop.shelf.today import offered, strength_today
from shelf.sample_shelf import bottle

TODAY = date(2026, 11, 25)
BANK = load_bank()


def today(draws=0, left=1.0, assay=None, **cells):
    made = bottle({"name": "b", "size": "1 L", **cells})
    return strength_today(Level(made, left * made.size, draws, assay), BANK, TODAY)


def test_bleach_by_its_law():
    """Pool chlorine of 12 % w/w, 208 days at 25 °C: density 1000 + 1600 w, ions twice the
    hypochlorite and 0.1 mol/L of lye, as the table of the shelf says."""
    told = today(product="sodium hypochlorite", strength="12 ± 0 % w/w", made="2026-05-01",
                 temperature="25 °C")  # fmt: skip
    molar = 0.12 * (1000.0 + 1600.0 * 0.12) / BANK.substances["sodium hypochlorite"].molar_mass
    left = hypochlorite_left(molar, 208 * 86400.0, 298.15, 2 * molar + 100.0)
    assert told.strength.value == pytest.approx(0.12 * left)
    assert told.strength.value == pytest.approx(0.052, abs=0.005)
    assert told.strength.band > 0.1 * told.strength.value
    assert told.titrate
    assert "titrate" in told.note


def test_older_and_warmer_bleach_is_weaker_and_less_certain():
    def bleach(made, temperature):
        told = today(product="sodium hypochlorite", strength="12 ± 0 % w/w", made=made,
                     temperature=temperature)  # fmt: skip
        return told.strength.value, told.strength.band / told.strength.value

    young, old, warm = (bleach("2026-11-20", "20 °C"), bleach("2026-05-01", "20 °C"),
                        bleach("2026-05-01", "30 °C"))  # fmt: skip
    assert young[0] > old[0] > warm[0]
    assert young[1] < old[1] < warm[1]


def test_bleach_of_unknown_age_has_no_known_strength():
    told = today(product="thin bleach")
    assert told.strength is None
    assert told.titrate
    assert "not known" in told.note


def test_weak_peroxide_within_what_was_watched():
    """Madanská 2004: above 90 % after three months, so the band ends there."""
    told = today(product="hydrogen peroxide", strength="3 % w/w", bought="2026-08-26")
    part = told.strength.value / 0.03
    assert part + told.strength.band / 0.03 == pytest.approx(1.0, abs=0.01)
    assert part - told.strength.band / 0.03 == pytest.approx(0.9, abs=0.01)


def test_weak_peroxide_long_after_is_not_known():
    told = today(product="peroxide 3 %", bought="2024-01-01")
    assert told.strength is None
    assert "has not been watched" in told.note


def test_strong_peroxide_keeps():
    told = today(product="hydrogen peroxide", strength="30 % w/w", bought="2025-11-25")
    assert told.strength.value == pytest.approx(0.3 * 0.995, rel=1e-3)
    assert not told.titrate


def test_ammonia_loses_gas_at_each_opening_and_more_from_an_emptier_bottle():
    few, many = (today(n, 0.5, product="strong ammonia").strength.value for n in (2, 20))
    full = today(20, 0.95, product="strong ammonia").strength.value
    closed = today(0, 0.5, product="strong ammonia").strength.value
    assert closed == 0.25
    assert closed > few > many
    assert full > many


def test_ammonia_lost_by_hand():
    """p(NH3) over 25 % ammonia at 20 °C is about 0.47 bar (Perry's Handbook, from memory): half
    a litre of it is 9.6 mmol, of 6.7 mol in the other half litre: 0.14 % an opening."""
    told = today(1, 0.5, product="ammonia", strength="25 % w/w", temperature="20 °C")
    assert 1.0 - told.strength.value / 0.25 == pytest.approx(0.0014, rel=0.35)


def test_caustic_takes_up_little_in_a_closed_bottle():
    told = today(20, 0.5, product="caustic soda beads")
    assert 0.999 < told.strength.value / 0.97 < 1.0
    assert "left open" in told.note


@pytest.mark.parametrize(
    ("higher", "lower", "printed"),
    [
        # International Critical Tables, dissociation pressures at 25 °C, from memory
        ("sodium sulfate decahydrate", "sodium sulfate", 19.2 / 23.76),
        ("sodium carbonate decahydrate", "sodium carbonate heptahydrate", 0.76),
        # Chou and Seal, Astrobiology 3 (2003) 619, from memory: 51 % at 25 °C
        ("magnesium sulfate heptahydrate", "magnesium sulfate hexahydrate", 0.51),
    ],
)
def test_the_humidity_at_which_a_hydrate_weathers(higher, lower, printed):
    case = Case(Level(bottle({"name": "x", "product": higher, "size": "1 kg"}), 1.0), BANK,
                None, 0.0, (298.15, 298.15, 298.15))  # fmt: skip
    found = weathers_below(case, BANK.substances[higher], BANK.substances[lower], 298.15)
    assert found == pytest.approx(printed, abs=0.03)


def test_what_the_air_does_to_an_open_bottle_is_told():
    soda = today(product="washing soda crystals")
    assert "it weathers, to Na2CO3·H2O in the end" in soda.note
    chloride = today(product="calcium chloride (de-icer)")
    assert "it takes up water in air damper than 3" in chloride.note


def test_the_latest_assay_goes_before_the_label():
    assay = Assay("k", "2026-11-25", "Anna", "iodometric", 0.041, "% w/w", 0.0004)
    told = today(assay=assay, product="thin bleach")
    assert told.rests_on == "assayed 2026-11-25 (iodometric)"
    assert told.strength.value == pytest.approx(0.041)
    assert told.strength.band == pytest.approx(1.645 * 0.0004, rel=0.05)
    assert not told.titrate
    assert offered(told).obtained == "measured"


def test_a_label_without_strength_is_said_so():
    acid = today(product="sulfuric acid")
    assert acid.strength is None
    assert acid.titrate
    salt = today(product="potassium sulfate")
    assert not salt.titrate
    assert salt.note == "its label gives no strength; taken as pure"


def test_the_temperature_of_the_shelf_is_stated_or_that_of_any_shelf():
    stated = Level(bottle({"name": "x", "product": "ammonia", "strength": "5 % w/w",
                           "size": "1 L", "temperature": "10 °C"}), 1.0)  # fmt: skip
    assert warmth(stated)[0] == pytest.approx(283.15)
    assert practice("stored_temperature")[0] == pytest.approx(293.15)
