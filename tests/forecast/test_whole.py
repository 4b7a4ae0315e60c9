"""The example sheet end to end: workings that add up, books that close, blanks, observations."""

from __future__ import annotations

import math

import pytest

from firstcrop.forecast.records import Working
from sample_sheets import ALUM, told

CLOSE = 1e-9  # relative, as the design asks


def adds_up(working: Working) -> bool:
    if working.how == "product":
        total = math.prod(t.value for t in working.terms)
    else:
        total = math.fsum(t.value for t in working.terms)
    return abs(total - working.value) <= CLOSE * max(abs(working.value), 1e-30)


def test_every_step_is_forecast():
    f = told(ALUM)
    assert [s.number for s in f.steps] == list(range(1, 10))
    assert all(not math.isnan(s.peak_temperature.value) for s in f.steps[:8])


@pytest.mark.parametrize("step", [1, 2, 5])
def test_the_working_of_a_peak_temperature_adds_up(step):
    number = told(ALUM).steps[step].peak_temperature
    assert number.working is not None
    assert len(number.working.terms) >= 3
    assert number.working.value == number.value
    assert adds_up(number.working)
    rounding = [t.value for t in number.working.terms if t.label.startswith("rounding")]
    assert all(abs(r) < 1e-3 for r in rounding)


def test_the_working_of_an_acid_volume_adds_up():
    answer = next(b for b in told(ALUM).blanks if b.step == 6)
    working = answer.number.working
    assert answer.number.unit == "m3"
    assert working is not None
    assert working.how == "sum"
    assert len(working.terms) > 3
    assert adds_up(working)
    assert answer.text.endswith("mL")
    assert "2.50" in answer.bound


def test_the_working_of_a_crop_adds_up():
    (crop,) = told(ALUM).crops
    assert crop.name == "KAl(SO4)2·12H2O"
    for number in (crop.dry_mass, crop.yield_fraction):
        assert number.working is not None
        assert adds_up(number.working)
    assert sum(m for _, m in crop.composition) == pytest.approx(crop.dry_mass.value, rel=1e-9)
    assert crop.wet_mass.value > crop.dry_mass.value
    assert crop.left_in_liquor.value > 0.0


def test_workings_of_volume_gas_and_ph_add_up():
    for step in told(ALUM).steps[:8]:
        for number in (step.peak_volume, step.gas_volume, step.end_ph, step.end_temperature):
            if number.working is not None:
                assert adds_up(number.working), number


def test_the_books_close():
    balances = {b.quantity: b for b in told(ALUM).balances}
    assert {"charge", "energy", "mass", "H", "O", "K", "Al", "S", "C"} <= set(balances)
    assert all(abs(b.gap) < CLOSE for b in balances.values())
    assert balances["Al"].put_in == pytest.approx(2.7e-3 * 0.97 / 26.9815e-3, rel=1e-4)


def test_theory_is_by_the_limiting_part():
    f = told(ALUM)
    assert f.theory is not None
    moles = 2.7e-3 * 0.97 / 26.9815385e-3
    assert f.theory.value == pytest.approx(moles * 0.47439, rel=1e-3)
    assert 0.0 < f.crops[0].yield_fraction.value < 1.0


def test_portions_keep_the_limit_and_one_fewer_would_not():
    f = told(ALUM)
    answer = next(b for b in f.blanks if b.step == 2)
    assert answer.text.endswith("portions")
    assert f.steps[1].peak_temperature.value <= 28.0 + 273.15 + 0.05
    assert all(limit.kept for limit in f.steps[1].limits)
    reached = float(answer.bound.split("reach ")[1].split(" ")[0])
    assert reached >= 28.0 - 0.05


def test_hydrogen_is_three_for_two_aluminium():
    gas = sum(s.gas.get("H2(g)") for s in told(ALUM).steps)
    aluminium = 2.7e-3 * 0.97 / 26.9815e-3
    assert gas == pytest.approx(1.5 * aluminium, rel=0.04)  # 30 min is five half-lives


def test_observations_stand_beside_the_forecast():
    f = told(ALUM)
    assert [c.text for c in f.comparisons] == ["after step 3: 52 °C", "crop: 29.8 g"]
    assert f.comparisons[0].forecast.value == f.steps[2].end_temperature.value
    assert f.comparisons[1].forecast.value == f.crops[0].dry_mass.value


def test_the_trace_runs_forward_and_has_no_holes():
    trace = told(ALUM).trace
    lengths = {
        len(series)
        for series in (trace.time, trace.step, trace.temperature, trace.ph, trace.gas_total)
    }
    assert len(lengths) == 1
    assert all(b >= a for a, b in zip(trace.time, trace.time[1:], strict=False))
    assert all(b >= a - 1e-12 for a, b in zip(trace.gas_total, trace.gas_total[1:], strict=False))


def test_the_target_has_its_window():
    (window,) = [w for w in told(ALUM).windows if w.step == 7]
    assert window.wanted == "KAl(SO4)2·12H2O"
    assert window.high > window.low


def test_what_it_rests_on_names_sources():
    rows = told(ALUM).rests_on
    assert len(rows) > 20
    assert all(r.label and r.obtained for r in rows)
    assert any(r.obtained == "common practice" for r in rows)
