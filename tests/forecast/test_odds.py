"""Words of a sheet that once were passed over: dropwise, hot, cold, the rest, to dryness."""

from __future__ import annotations

import pytest

from firstcrop.forecast.records import Forecast
from sample_sheets import HEAD, codes, run, sheet, told

HAND = HEAD.replace(
    "| name | substance | strength | notes |\n|---|---|---|---|",
    "| name | substance | strength | amount |\n|---|---|---|---|",
).replace("| acid | sulfuric acid | 30 % w/w | |", "| acid | sulfuric acid | 30 % w/w | 60 mL |")


def closes(f: Forecast) -> bool:
    return max(abs(b.gap) for b in f.balances) < 1e-9


def test_hot_and_cold_water_mix_to_the_mean():
    f = run("Put 50 mL of hot water in the beaker.", "Add 50 mL of cold water.")
    # 80 and 10 °C, and the glass, which came with the hot water
    assert 273.15 + 45.0 < f.steps[-1].end.temperature < 273.15 + 54.0
    assert "temperature taken" in codes(f)


def test_cold_is_the_tap_of_the_conditions():
    head = HEAD.replace("## Steps", "## Conditions\n\n- water: 6 °C\n\n## Steps")
    f = told(sheet("Put 300 mL of cold water in the beaker.", head=head))
    assert f.steps[0].lowest_temperature.value == pytest.approx(279.15, abs=1.2)
    assert "temperature taken" not in codes(f)


def test_dropwise_takes_its_time():
    f = run("Put 50 mL of water in the beaker.", "Add 10 mL of lye dropwise.")
    assert f.steps[1].duration == pytest.approx(10e-6 / 3.3e-8, rel=0.02)
    assert "dropwise taken" in codes(f)
    slow = run("Put 50 mL of water in the beaker.", "Add 10 mL of lye dropwise over 20 min.")
    assert slow.steps[1].duration == pytest.approx(1200.0, rel=0.01)
    assert "dropwise taken" not in codes(slow)


def test_the_rest_of_a_material_counts_from_what_is_in_hand():
    steps = ("Put 50 mL of water in the beaker.", "Add 20 mL of acid.", "Add the rest of the acid.")
    f = told(sheet(*steps, head=HAND))
    once = told(sheet("Put 50 mL of water in the beaker.", "Add 60 mL of acid.", head=HAND))
    assert f.steps[-1].end.mass == pytest.approx(once.steps[-1].end.mass, rel=1e-12)
    assert "rest of what" in codes(run(*steps))
    gone = told(sheet(*steps, "Add the rest of the acid.", head=HAND))
    assert "nothing left" in codes(gone)


def test_the_rest_of_a_liquor_is_what_stayed_behind():
    f = run(
        "Put 80 mL of water in the beaker.",
        "Transfer a quarter of the liquor to the flask.",
        "Add the rest of the liquor to the flask.",
    )
    assert f.steps[1].end.volume == pytest.approx(2e-5, rel=1e-6)
    assert f.steps[2].end.volume == pytest.approx(8e-5, rel=1e-6)


def test_to_dryness_leaves_all_of_the_salt():
    f = run(
        "Put 100 mL of water in the beaker.",
        "Add 10 g of sodium chloride.",
        "Evaporate to dryness.",
    )
    (crop,) = f.crops
    assert crop.name == "NaCl"
    assert crop.dry_mass.value == pytest.approx(10e-3 * (1.0 - 0.02), rel=1e-4)  # filter loss
    assert closes(f)


def test_to_dryness_takes_the_heat_of_the_water():
    f = run("Put 100 mL of water in the beaker.", "Add 2 g of sodium chloride.", "Boil to dryness.")
    # 99.8 g of water to 100 °C (4.18 J/(g K)) and to vapour (2257 J/g, IAPWS), 500 W x 0.35
    least = 99.8 * (4.18 * 80.0 + 2257.0) / (500.0 * 0.35)
    assert least < f.steps[-1].duration < 1.4 * least
    assert f.steps[-1].gas.get("H2O(g)") * 18.015 == pytest.approx(99.8, rel=0.03)


def test_dried_crystals_come_at_the_temperature_of_the_room():
    """The latent heat of drying is the air's: crystals dried and dissolved are not colder."""
    before = (
        "Put 50 mL of water in the beaker.",
        "Add 40 g of potassium nitrate.",
        "Cool to 5 °C in an ice bath.",
        "Filter; keep the crystals.",
    )
    wet = run(*before, "Put 50 mL of water in the flask.", "Add the crystals to the flask.")
    dry = run(
        *before, "Dry in air.", "Put 50 mL of water in the flask.", "Add the crystals to the flask."
    )
    assert dry.steps[-1].end.temperature == pytest.approx(wet.steps[-1].end.temperature, abs=2.5)
    assert closes(dry)


def test_a_bare_name_that_may_be_a_hydrate_is_asked_about():
    f = run("Put 50 mL of water in the beaker.", "Add 5 g of sodium carbonate.")
    assert "bank.hydrate" in codes(f)
    f = run("Put 50 mL of water in the beaker.", "Add 5 g of sodium carbonate decahydrate.")
    assert "bank.hydrate" not in codes(f)


def test_ice_melts_and_cools_by_its_heat_of_fusion():
    """100 g at 80 °C with 60 g of ice: 333.4 J/g (IAPWS) and 4.19 J/(g K); the wall is the rest."""
    f = run("Put 100 mL of hot water in the beaker.", "Add 60 g of ice.")
    end = f.steps[-1].end.temperature - 273.15
    without_wall = (99.8 * 4.19 * 80.0 - 60.0 * 333.4) / (159.8 * 4.19)
    assert without_wall < end < without_wall + 10.0
    assert "freezes" not in codes(f)
    assert closes(f)


def test_too_much_ice_and_too_much_cold_are_said():
    assert "freezes" in codes(run("Put 100 mL of water in the beaker.", "Add 100 g of ice."))
    cold = "Cool to -5 °C in a salt ice bath."
    assert "freezes" in codes(run("Put 100 mL of water in the beaker.", cold))
    # 30 g NaCl in 100 g of water freezes near -20 °C (CRC Handbook)
    brine = ("Put 100 mL of water in the beaker.", "Add 30 g of sodium chloride.", cold)
    assert "freezes" not in codes(run(*brine))


def test_a_slow_starter_is_said_to_be_one():
    f = run(
        "Put 100 mL of water in the beaker.",
        "Add 40 g of sodium sulfate decahydrate.",
        "Heat to 40 °C.",
        "Cool to 15 °C in an ice bath.",
        "Filter; keep the crystals.",
        "Dry in air.",
    )
    working = f.crops[0].dry_mass.working
    assert working is not None
    told_of = [n for n in working.notes if "without a seed" in n]
    assert told_of
    assert "15 K (5 to 20 K)" in told_of[0]
    assert "there may be none" in told_of[0]
    assert 0.0 <= f.crops[0].dry_mass.low < 0.02 * f.crops[0].dry_mass.value
    assert "seed" in f.crops[0].dry_mass.influences[0].label


HOT = ("Put 200 mL of water in the beaker.", "Heat to 80 °C.")


def test_an_uncovered_beaker_loses_water_and_a_covered_one_none():
    f = run(*HOT, "Hold at 80 °C for 2 h uncovered.")
    lost = f.steps[1].end.mass - f.steps[2].end.mass
    # 47.4 kPa (IAPWS) less the air's 1.2, 0.089/2311, half of it, over a 400 mL beaker's 38 cm2
    assert lost == pytest.approx(46.2 * 0.089 / 2311.0 * 0.5 * 38e-4 * 7200.0, rel=0.25)
    assert f.steps[2].gas.get("H2O(g)") * 18.015e-3 == pytest.approx(lost, rel=1e-4)
    assert closes(f)
    still = run(*HOT, "Hold at 80 °C for 2 h.")
    assert still.steps[2].end.mass == pytest.approx(still.steps[1].end.mass, rel=1e-9)
    assert "evaporation not counted" in codes(still)
    assert "evaporation not counted" not in codes(run(*HOT, "Hold at 80 °C for 2 h, covered."))


def test_evaporation_cools():
    opened = run(*HOT, "Stand for 1 h uncovered.")
    closed = run(*HOT, "Stand for 1 h.")
    assert opened.steps[2].end.temperature < closed.steps[2].end.temperature - 1.0
    assert closes(opened)
