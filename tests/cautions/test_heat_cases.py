"""Cooling failure, stirring, criticality: bands and classes as Stoessel has them."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from firstcrop.cautions.heat_cases import criticality, heat_cases, severity_of, time_to
from firstcrop.forecast.records import Amounts, Forecast, Inside, Pending

from .sheets import cautions, sheet
from .test_forecast_cautions import step

# Tp, MTSR, MTT, TD24 in order of each class (Stoessel 2008, ch. 3: the five orders)
CLASSES = (
    ((20.0, 60.0, 100.0, 200.0), "class 1"),
    ((20.0, 60.0, 200.0, 100.0), "class 2"),
    ((20.0, 120.0, 100.0, 200.0), "class 3"),
    ((20.0, 150.0, 100.0, 120.0), "class 4"),
    ((20.0, 150.0, 140.0, 120.0), "class 5"),
    ((20.0, 130.0, 140.0, 120.0), "class 5"),
)


@pytest.mark.parametrize(("temperatures", "told"), CLASSES)
def test_the_five_orders_of_temperature(temperatures: tuple[float, ...], told: str) -> None:
    assert criticality(*temperatures) == told


def test_without_decomposition_data_it_says_so() -> None:
    for peak in (60.0, 120.0):
        assert "decomposition data not known" in criticality(20.0, peak, 100.0, None)


def test_bands_of_severity() -> None:
    """Stoessel 1993: low below 50 K, medium 50 to 200 K, high above."""
    assert [severity_of(r) for r in (49.9, 50.0, 200.0, 200.1)] == [
        "low",
        "medium",
        "medium",
        "high",
    ]


def inside(amount: float, rate: float, activation: float = 0.0, heat: float = 1e5) -> Inside:
    pending = Pending("it", amount, heat, rate, activation)
    return Inside(0.0, 300.0, Amounts(), 0.1, Amounts(), 400.0, (pending,))


def test_time_with_no_change_of_rate_is_first_order() -> None:
    """Heat over capacity by half: the time is the half-life, ln 2 / k. In 24 slices it
    comes out 1.5 % short, which is the cautious side."""
    here = inside(0.1, 0.1 * 1e-3)
    half = 300.0 + 0.5 * 0.1 * 1e5 / 400.0
    assert time_to(half, here, list(here.pending)) == pytest.approx(math.log(2.0) / 1e-3, rel=0.02)


def test_it_runs_away_faster_as_it_warms_and_never_beyond_what_is_there() -> None:
    slow, fast = inside(0.1, 1e-4), inside(0.1, 1e-4, activation=80e3)
    assert time_to(312.0, fast, list(fast.pending)) < time_to(312.0, slow, list(slow.pending))
    assert math.isnan(time_to(330.0, slow, list(slow.pending)))  # 25 K is all there is


def test_an_unknown_rate_gives_no_time_and_an_unknown_heat_is_told() -> None:
    here = inside(0.1, math.nan)
    assert math.isnan(time_to(310.0, here, list(here.pending)))
    strange = inside(0.1, 1e-4, heat=math.nan)
    prep = sheet("Put 100 mL of water in the beaker.\nAdd 10 g of table salt.", "table salt")
    told = heat_cases(Forecast(prep, steps=(replace(step(), inside=(strange,)),)))
    assert [case.unknown for case in told] == [True]


def test_advice_on_portions_keeps_the_failure_below_the_limit() -> None:
    """40 kJ in 400 J/K is 100 K from 27 °C; below boiling only 73 % may wait, two portions."""
    prep = sheet("Put 100 mL of water in the beaker.\nAdd 10 g of table salt.", "table salt")
    hot = replace(step(), inside=(inside(0.4, 1e-4, 50e3),))
    found = next(c for c in cautions(prep, hot) if c.code == "cooling-failure")
    assert "73 %" in found.remedy
    assert "2 portions" in found.remedy
    assert "40 kJ" in found.why


def test_a_cold_reaction_waiting_is_no_danger() -> None:
    prep = sheet("Put 100 mL of water in the beaker.\nAdd 10 g of table salt.", "table salt")
    cold = replace(step(), inside=(inside(0.4, 1e-4, heat=-1e5),))
    assert "cooling-failure" not in {c.code for c in cautions(prep, cold)}
