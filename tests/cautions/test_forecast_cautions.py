"""Cautions that read the forecast's numbers: gas, volume, temperature, closed vessels."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from firstcrop.forecast.records import Amounts, Limit, Moment, Number, StepForecast
from firstcrop.problems import Place, Severity

from .sheets import cautions, codes, sheet

STEPS = "Put 100 mL of water in the beaker.\nAdd 10 g of table salt, keeping below 40 °C."
PREP = sheet(STEPS, "table salt")
HERE = Place(20)


def number(value: float, spread: float = 0.0, unit: str = "K") -> Number:
    return Number(value, value - spread, value + spread, unit)


def moment(temperature: float, volume: float) -> Moment:
    return Moment(0.0, temperature, volume, volume * 1e3, 7.0)


def step(
    peak: float = 300.0,
    spread: float = 1.0,
    volume: float = 1.1e-4,
    capacity: float = 5e-4,
    gas: tuple[tuple[str, float], ...] = (),
    limits: tuple[Limit, ...] = (),
) -> StepForecast:
    """Step 2 of the sheet, quiet unless told otherwise."""
    return StepForecast(
        number=2,
        place=HERE,
        vessel="beaker",
        summary="add 10 g of table salt",
        start=moment(293.15, volume),
        end=moment(295.0, volume),
        duration=60.0,
        peak_temperature=number(peak, spread),
        lowest_temperature=number(293.15),
        end_temperature=number(295.0),
        peak_volume=number(volume, 0.0, "m3"),
        capacity=capacity,
        end_ph=number(7.0, 0.0, "1"),
        gas=Amounts(gas),
        gas_volume=number(sum(n for _, n in gas) * 0.0241, 0.0, "m3"),
        solids=Amounts(),
        heat=None,
        limits=limits,
    )


def limit(kept: bool, value: float = 313.15, reached: float = 300.0) -> Limit:
    return Limit("below 40 °C", value, reached, kept, HERE)


MUST = (
    (step(gas=(("H2(g)", 0.15),)), "gas.flammable.H2", Severity.WARNING),
    (step(gas=(("Cl2(g)", 0.001),)), "gas.toxic.Cl2", Severity.ERROR),
    (step(gas=(("SO2(g)", 0.01),)), "gas.toxic.SO2", Severity.ERROR),
    (step(gas=(("H2S(g)", 0.01),)), "gas.toxic.H2S", Severity.ERROR),
    (step(gas=(("H2S(g)", 0.01),)), "gas.flammable.H2S", Severity.WARNING),
    (step(gas=(("NH3(g)", 0.1),)), "gas.toxic.NH3", Severity.ERROR),
    (step(gas=(("NH3(g)", 0.002),)), "gas.toxic.NH3", Severity.WARNING),
    (step(gas=(("NO2(g)", 0.001),)), "gas.toxic.NO2", Severity.ERROR),
    (step(gas=(("CO2(g)", 5.0),)), "gas.stifling.CO2", Severity.NOTE),
    (step(gas=(("ArF(g)", 0.1),)), "gas.unknown.ArF", Severity.WARNING),
    (step(volume=6e-4), "vessel-full", Severity.ERROR),
    (step(volume=4.7e-4), "vessel-full", Severity.WARNING),
    (step(volume=2.5e-4, gas=(("CO2(g)", 0.05),)), "vessel-foam", Severity.WARNING),
    (step(peak=373.2), "boils-over", Severity.ERROR),
    (step(peak=365.0, spread=9.0), "boils-over", Severity.WARNING),
    (step(peak=335.0), "sudden-heat", Severity.WARNING),
    (step(limits=(limit(False, reached=320.0),)), "limit-broken", Severity.ERROR),
    (step(peak=310.0, spread=6.0, limits=(limit(True),)), "limit-close", Severity.WARNING),
)


@pytest.mark.parametrize(("fragment", "code", "severity"), MUST)
def test_must_be_cautioned(fragment: StepForecast, code: str, severity: Severity) -> None:
    found = [c for c in cautions(PREP, fragment) if c.code == code]
    assert len(found) == 1
    assert found[0].severity is severity
    assert found[0].step == 2


MUST_NOT = (
    (step(), "gas."),
    (step(), "vessel"),
    (step(), "boils"),
    (step(), "sudden"),
    (step(gas=(("CO2(g)", 0.01),)), "gas."),
    (step(gas=(("O2(g)", 0.01),)), "gas."),
    (step(gas=(("H2O(g)", 0.5),)), "gas."),
    (step(gas=(("H2(g)", 1e-4),)), "gas.flammable"),
    (step(gas=(("NH3(g)", 1e-6),)), "gas."),
    (step(volume=2.5e-4), "vessel"),
    (step(volume=1.0e-4, gas=(("CO2(g)", 0.05),)), "vessel-foam"),
    (step(volume=6e-4, capacity=math.nan), "vessel"),
    (step(peak=320.0), "sudden"),
    (step(peak=300.0, limits=(limit(True),)), "limit"),
)


@pytest.mark.parametrize(("fragment", "prefix"), MUST_NOT)
def test_must_not_be_cautioned(fragment: StepForecast, prefix: str) -> None:
    assert not [code for code in codes(PREP, fragment) if code.startswith(prefix)]


def test_wanted_boiling_is_not_cautioned() -> None:
    prep = sheet("Put 100 mL of water in the beaker.\nBoil down to 50 mL.")
    assert "boils-over" not in codes(prep, step(peak=373.2))


def test_a_liquor_hot_from_the_step_before_is_not_said_to_boil_by_itself() -> None:
    hot = replace(step(peak=373.2), start=moment(373.15, 1.1e-4))
    assert "boils-over" not in codes(PREP, hot)


def test_gas_in_a_closed_vessel() -> None:
    prep = sheet(STEPS, "table salt", vessel="500 mL bottle, closed")
    assert any(vessel.closed for vessel in prep.vessels)
    found = [c for c in cautions(prep, step(gas=(("CO2(g)", 0.01),))) if c.code == "closed-vessel"]
    assert [c.severity for c in found] == [Severity.ERROR]
    assert "closed-vessel" in codes(prep, step(peak=350.0))
    assert "closed-vessel" not in codes(prep, step())
    assert "closed-vessel" not in codes(PREP, step(gas=(("CO2(g)", 0.01),)))


def test_what_makes_gas_in_a_closed_vessel_is_seen_without_a_forecast() -> None:
    steps = "Put 100 mL of vinegar in the beaker.\nAdd 10 g of baking soda."
    prep = sheet(steps, "vinegar", "baking soda", vessel="500 mL bottle, closed")
    assert "closed-vessel" in codes(prep)


def test_hydrogen_and_a_flame() -> None:
    steps = "Put 100 mL of water in the beaker.\nHeat to 60 °C over a burner."
    fragment = replace(step(gas=(("H2(g)", 0.1),)), number=2)
    found = [c for c in cautions(sheet(steps), fragment) if c.code == "hydrogen-flame"]
    assert [c.severity for c in found] == [Severity.ERROR]


def test_hydrogen_figures() -> None:
    """0.15 mol at 20 °C and 1 atm is 3.6 L; at 4 % it makes 90 L of air burn (arithmetic)."""
    found = [c for c in cautions(PREP, step(gas=(("H2(g)", 0.15),))) if "flammable" in c.code]
    assert "3.6 L" in found[0].why
    assert "90 L" in found[0].why


def test_pressure_in_a_closed_bottle() -> None:
    """0.01 mol at 22 °C in 390 mL of headspace: 0.63 bar by the gas law (arithmetic)."""
    prep = sheet(STEPS, "table salt", vessel="500 mL bottle, closed")
    found = [c for c in cautions(prep, step(gas=(("CO2(g)", 0.01),))) if c.code == "closed-vessel"]
    assert "0.63 bar" in found[0].why
    assert "390 mL of headspace" in found[0].why
