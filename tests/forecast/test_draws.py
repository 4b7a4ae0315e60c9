"""Sampled bands: as those moved one at a time where the run is smooth, truer where it bends."""

from __future__ import annotations

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.forecast.context import Ground
from firstcrop.forecast.draws import drawn
from firstcrop.forecast.ground import lay_ground
from firstcrop.forecast.knobs import Knobs
from firstcrop.forecast.pipeline import forecast
from firstcrop.forecast.simulate import Run, simulate
from firstcrop.sheet.read import read_sheet
from sample_sheets import HEAD, sheet

SMOOTH = sheet("Put 50 ± 5 mL of water in the beaker.", "Add 10 ± 1 g of sodium hydroxide.")
BENT = sheet(
    "Put 100 mL of muriatic acid in the beaker.",
    "Add 144 mL of lye.",
    head=HEAD.replace("| 2.00 mol/L |", "| 2.0 ± 0.2 mol/L |").replace(
        "| hydrochloric acid | 10 % w/w |", "| hydrochloric acid | 10 ± 1 % w/w |"
    ),
)
PEAK = ("peak", 2)


def ran(text: str) -> tuple[Ground, Run]:
    ground, _ = lay_ground(read_sheet(text).preparation, load_bank())
    return ground, simulate(ground)


def test_where_the_run_is_smooth_both_bands_agree():
    plain = forecast(SMOOTH, load_bank()).steps[1].peak_temperature
    sampled = forecast(SMOOTH, load_bank(), draws=400).steps[1].peak_temperature
    assert sampled.value == plain.value
    assert plain.high - plain.low > 4.0
    assert sampled.low == pytest.approx(plain.low, abs=0.12 * (plain.high - plain.low))
    assert sampled.high == pytest.approx(plain.high, abs=0.12 * (plain.high - plain.low))
    assert sampled.influences == plain.influences


def test_at_a_limiting_reagent_sampling_sees_what_one_at_a_time_misses():
    """Acid and lye just meet: whichever is short decides, so the band lies lower."""
    plain = forecast(BENT, load_bank()).steps[1].peak_temperature
    sampled = forecast(BENT, load_bank(), draws=300).steps[1].peak_temperature
    assert sampled.low + sampled.high < plain.low + plain.high - 0.5


def test_the_same_draws_come_every_time_on_one_process_or_two():
    ground, run = ran(SMOOTH)
    alone = drawn(ground, run, 40, workers=1)
    assert drawn(ground, run, 40, workers=2)[PEAK] == pytest.approx(alone[PEAK], rel=1e-9)
    assert drawn(ground, run, 40, workers=1) == alone


def test_the_solubility_of_a_crop_is_drawn_too():
    steps = (
        "Put 50 mL of water in the beaker.",
        "Add 40 g of potassium nitrate.",
        "Heat to 60 °C.",
        "Cool to 5 °C in an ice bath.",
        "Filter; keep the crystals.",
    )
    ground, run = ran(sheet(*steps))
    name = next(iter(run.findings.cakes))
    low, high = drawn(ground, run, 40, workers=1)["dry", name]
    assert 0.0 < low < high


def test_what_cannot_be_negative_never_is_however_far_it_is_drawn():
    for move in (-0.5, -1.0, -2.0, -4.0):
        knobs = Knobs({"lag": move, "loss": move})
        assert knobs.ask("lag", "degassing time", 10.0, 4.0, 30.0) > 0.0
        assert knobs.ask("loss", "loss", 0.02, 0.0, 0.05) >= 0.0
    assert Knobs({"lag": -1.0}).ask("lag", "degassing time", 10.0, 4.0, 30.0) == 4.0
    assert Knobs({"lag": 2.0}).ask("lag", "degassing time", 10.0, 4.0, 30.0) == 50.0
