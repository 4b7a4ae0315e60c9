"""Operations, one by one, against what must hold whatever the chemistry."""

from __future__ import annotations

import math

import pytest

from firstcrop.forecast.records import Forecast, StepForecast
from sample_sheets import codes, run


def last(f: Forecast) -> StepForecast:
    return f.steps[-1]


def closes(f: Forecast) -> bool:
    return max(abs(b.gap) for b in f.balances) < 1e-9


def test_the_order_of_mixing_does_not_matter():
    one = run(
        "Put 50 mL of water in the beaker.",
        "Add 5 g of potassium nitrate.",
        "Add 4 g of sodium chloride.",
        "Stir for 1 h.",
    )
    other = run(
        "Put 50 mL of water in the beaker.",
        "Add 4 g of sodium chloride.",
        "Add 5 g of potassium nitrate.",
        "Stir for 1 h.",
    )
    a, b = last(one), last(other)
    assert one.steps[2].end.temperature == pytest.approx(other.steps[2].end.temperature, abs=1e-5)
    assert a.end_ph.value == pytest.approx(b.end_ph.value, abs=1e-6)
    assert a.end.volume == pytest.approx(b.end.volume, rel=1e-8)


def test_dissolving_ammonium_nitrate_cools():
    f = run("Put 100 mL of water in the beaker.", "Add 20 g of ammonium nitrate.")
    assert last(f).lowest_temperature.value < 293.15 - 8.0


def test_a_volume_is_made_up_to_the_mark():
    f = run(
        "Put 50 mL of water in the beaker.",
        "Add 10 g of sodium chloride.",
        "Make up to 100 mL with water.",
    )
    assert last(f).end.volume == pytest.approx(1e-4, rel=1e-6)


def test_boiling_down_reaches_the_volume_and_takes_the_latent_heat():
    f = run(
        "Put 100 mL of water in the beaker.", "Add 5 g of sodium chloride.", "Boil down to 60 mL."
    )
    step = last(f)
    assert step.end.volume == pytest.approx(6e-5, rel=2e-3)
    assert step.gas.get("H2O(g)") * 0.0180153 == pytest.approx(
        f.steps[1].end.mass - step.end.mass, rel=1e-5
    )
    assert 373.0 < step.peak_temperature.value < 377.0
    assert closes(f)


def test_reflux_keeps_the_water():
    f = run("Put 100 mL of water in the beaker.", "Reflux for 30 min.")
    assert last(f).end.mass == pytest.approx(f.steps[0].end.mass, rel=1e-9)
    assert last(f).end.temperature == pytest.approx(373.1, abs=0.3)


def test_crystals_returned_to_their_liquor_are_as_before():
    before = (
        "Put 50 mL of water in the beaker.",
        "Add 40 g of potassium nitrate.",
        "Cool to 5 °C in an ice bath.",
    )
    whole = run(*before)
    apart = run(*before, "Filter; keep the crystals.", "Transfer the crystals to the beaker.")
    assert last(apart).end.mass == pytest.approx(last(whole).end.mass, rel=1e-9)
    there = last(whole).solids.get("KNO3")
    assert last(apart).solids.get("KNO3") == pytest.approx(there, rel=1e-3)
    assert closes(apart)


def test_a_water_wash_costs_more_crystals_than_a_spirit_wash():
    steps = (
        "Put 50 mL of water in the beaker.",
        "Add 40 g of potassium nitrate.",
        "Cool to 5 °C in an ice bath.",
        "Filter; keep the crystals.",
    )
    dry = run(*steps, "Dry in air.").crops[0].composition[0][1]
    water = run(*steps, "Wash with 10 mL of water at 5 °C.", "Dry in air.")
    spirit = run(*steps, "Wash with 10 mL of spirit at 5 °C.", "Dry in air.")
    water_left, spirit_left = (f.crops[0].composition[0][1] for f in (water, spirit))
    assert water_left < spirit_left < dry
    assert spirit.crops[0].purity.value > run(*steps, "Dry in air.").crops[0].purity.value


def test_a_second_crop_comes_from_the_liquor():
    f = run(
        "Put 50 mL of water in the beaker.",
        "Add 40 g of potassium nitrate.",
        "Heat to 60 °C.",
        "Cool to 5 °C in an ice bath.",
        "Filter; keep the crystals.",
        "Boil down the mother liquor to 25 mL.",
        "Cool to 5 °C in an ice bath.",
        "Filter; keep the crystals.",
    )
    assert [c.number for c in f.crops] == [1, 2]
    assert f.crops[1].dry_mass.value > 0.001
    assert closes(f)


def test_the_least_water_that_dissolves_everything():
    f = run("Dissolve 20 g of potassium nitrate in ? mL of water at 40 °C.")
    (answer,) = f.blanks
    # 61.3 to 63.9 g in 100 g water at 40 °C in common tables (CRC, Seidell)
    assert answer.number.value * 1e6 == pytest.approx(20.0 / 0.63, rel=0.04)
    assert last(f).solids.get("KNO3") < 1e-5
    assert "40 °C" in answer.bound


def test_what_stays_undissolved_is_said():
    f = run("Dissolve 40 g of potassium nitrate in 50 mL of water at 20 °C.")
    assert "not all dissolves" in codes(f)


def test_an_acid_titrated_with_a_base_takes_its_equivalents():
    f = run("Put 20 mL of muriatic acid in the beaker.", "Titrate with ? mL of lye to pH 7.")
    (answer,) = f.blanks
    acid = 20e-6 * 1047.0 * 0.10 / 0.03646  # 10 % HCl: 1.047 g/mL at 20 °C, CRC
    assert answer.number.value == pytest.approx(acid / 2000.0, rel=5e-3)
    assert last(f).end_ph.value == pytest.approx(7.0, abs=0.1)


def test_half_a_vessel_moves():
    f = run("Put 80 mL of water in the beaker.", "Add half of the contents to the flask.")
    assert last(f).vessel == "flask"
    assert last(f).end.mass == pytest.approx(0.5 * f.steps[0].end.mass, rel=1e-9)


def test_boiling_down_to_half_leaves_half():
    f = run("Put 80 mL of water in the beaker.", "Boil down to half.")
    assert last(f).end.volume == pytest.approx(0.5 * f.steps[0].end.volume, rel=0.02)


def test_over_time_is_cooler_than_at_once_and_smaller_steps_converge():
    at_once = run("Put 100 mL of water in the beaker.", "Add 60 mL of acid.")
    slowly = run("Put 100 mL of water in the beaker.", "Add 60 mL of acid over 30 min.")
    assert last(slowly).peak_temperature.value < last(at_once).peak_temperature.value
    assert last(slowly).duration == pytest.approx(1800.0)


def test_a_cooling_curve_approaches_the_room():
    f = run("Put 100 mL of water in the beaker.", "Heat to 80 °C.", "Stand for 24 h.")
    assert last(f).end.temperature == pytest.approx(293.15, abs=0.5)
    assert f.steps[1].duration > 60.0


def test_filtering_clear_water_warns():
    assert "nothing to filter off" in codes(
        run("Put 10 mL of water in the beaker.", "Filter; keep the crystals.")
    )


@pytest.mark.parametrize(
    ("steps", "code"),
    [
        (("Put 50 mL of water in the beaker.", "Add ? mL of acid."), "blank without a bound"),
        (
            ("Put 50 mL of water in the beaker.", "Add ? mL of acid to pH 12."),
            "blank without an answer",
        ),
        (
            ("Put 50 mL of water in the beaker.", "Cool to -10 °C in an ice bath."),
            "temperature out of reach",
        ),
        (("Put 50 mL of water in the beaker.", "Heat to 140 °C."), "boils first"),
        (
            ("Put 50 mL of water in the beaker.", "Add 5 g of sodium hydroxide in ? portions."),
            "blank without a bound",
        ),
        (
            (
                "Put 50 mL of water in the beaker.",
                "Add 5 g of sodium hydroxide in ? portions, keeping below 10 °C.",
            ),
            "blank without an answer",
        ),
        (("Put 50 mL of nitric acid in the beaker.",), "missing strength"),
        (
            ("Put 50 mL of water in the beaker.", "Add 5 g of unobtainium."),
            "bank.unknown-substance",
        ),
        (
            ("Put 50 mL of water in the beaker.", "Add an excess of sodium chloride."),
            "how much excess",
        ),
        (("Put 390 mL of water in the beaker.", "Add 200 mL of acid."), "vessel too small"),
        (
            (
                "Put 50 mL of water in the beaker.",
                "Add 40 g of sodium hydroxide, keeping below 30 °C.",
            ),
            "limit broken",
        ),
        (("Put 50 mL of water in the beaker.", "Wash with 10 mL of water."), "nothing to wash"),
        (("Put 100 mL of water in the beaker.", "Dilute to 50 mL."), "volume passed already"),
    ],
)
def test_mistakes_are_told_with_a_place(steps, code):
    f = run(*steps)
    found = [p for p in f.problems if p.code == code]
    assert found, codes(f)
    assert found[0].line > 0
    assert all(not math.isnan(b.gap) for b in f.balances)
