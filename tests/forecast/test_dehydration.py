"""Crystal water that goes in drying."""

from __future__ import annotations

import pytest

from firstcrop.forecast.records import Forecast
from sample_sheets import HEAD, codes, run, sheet, told

BLUE = (
    "Put 100 mL of water in the beaker.",
    "Add 60 g of copper(II) sulfate pentahydrate.",
    "Heat to 90 °C.",
    "Cool to 10 °C in an ice bath.",
    "Filter; keep the crystals. Wash with 20 mL of ethanol.",
)


def closes(f: Forecast) -> bool:
    return max(abs(b.gap) for b in f.balances) < 1e-9


def test_blue_vitriol_at_110_degrees_keeps_one_water():
    """Loses four of its five H2O, 28.86 % (any textbook of gravimetry)."""
    air, oven = run(*BLUE, "Dry in air."), run(*BLUE, "Dry in an oven at 110 °C.")
    name, left = oven.crops[0].composition[0]
    assert name == "copper(II) sulfate monohydrate"
    lost = air.crops[0].dry_mass.value - oven.crops[0].dry_mass.value
    assert lost / (lost + left) == pytest.approx(0.2886, abs=2e-4)
    assert closes(oven)
    assert "crystal water lost" in codes(oven)


def test_far_hotter_it_loses_all():
    oven = run(*BLUE, "Dry in an oven at 250 °C.")
    air = run(*BLUE, "Dry in air.")
    left = oven.crops[0].composition[0][1]
    lost = air.crops[0].dry_mass.value - oven.crops[0].dry_mass.value
    assert left / (lost + left) == pytest.approx(159.61 / 249.68, abs=2e-4)
    assert closes(oven)


def test_dried_white_vitriol_warms_the_water_it_is_dissolved_in():
    """CuSO4 takes its water back: heats of formation, NBS 1982, 78 kJ/mol of it."""
    again = ("Put 200 mL of water in the flask.", "Add the crystals to the flask.")
    hot = run(*BLUE, "Dry in an oven at 250 °C.", *again)
    mild = run(*BLUE, "Dry in air.", *again)
    assert hot.steps[-1].end.temperature > mild.steps[-1].end.temperature + 8.0
    assert closes(hot)
    assert closes(mild)


SODA = (
    "Put 50 mL of water in the beaker.",
    "Add 40 g of sodium carbonate decahydrate.",
    "Heat to 32 °C.",
    "Cool to 5 °C in an ice bath.",
    "Filter; keep the crystals.",
)


def test_washing_soda_weathers_in_the_air_of_a_room_and_the_band_says_so():
    f = told(sheet(*SODA, "Dry in air."), with_bands=True)
    crop = f.crops[0]
    assert "effloresces" in codes(f)
    assert any("weathering" in i.label for i in crop.dry_mass.influences)
    kept = dict(crop.composition)
    # 3 % of it has become the heptahydrate; some more dried on from the liquor
    part = kept["Na2CO3·7H2O"] / 232.10 / (kept["Na2CO3·10H2O"] / 286.14)
    assert part == pytest.approx(0.03 / 0.97, rel=0.05)
    assert closes(f)


def test_in_damp_air_it_does_not():
    head = HEAD.replace("## Steps", "## Conditions\n\n- humidity: 85 %\n\n## Steps")
    f = told(sheet(*SODA, "Dry in air.", head=head))
    assert "effloresces" not in codes(f)
    assert "Na2CO3·7H2O" not in dict(f.crops[0].composition)


def test_to_constant_mass_in_dry_air_is_all_the_way():
    f = run(*SODA, "Dry in air to constant mass.")
    kept = dict(f.crops[0].composition)
    assert "Na2CO3·10H2O" not in kept
    assert closes(f)


def test_what_no_table_says_is_asked_for():
    f = run(
        "Put 50 mL of water in the beaker.",
        "Add 20 g of ammonium iron(II) sulfate hexahydrate.",
        "Heat to 60 °C.",
        "Cool to 5 °C in an ice bath.",
        "Filter; keep the crystals.",
        "Dry in an oven at 110 °C.",
    )
    assert "drying may drive off crystal water" in codes(f)
