"""What is left: agents with amounts by balanced equations; what the liquor actually holds."""

from __future__ import annotations

from dataclasses import replace

import pytest

from firstcrop.bank.waste import neutral_protons, waste_rules
from firstcrop.cautions.after import LOCAL, after, excess_protons
from firstcrop.cautions.care import care
from firstcrop.cautions.scene import scene_of
from firstcrop.chem.equation import check, parse_equation
from firstcrop.forecast.records import Amounts, Forecast, Inside, StepForecast
from firstcrop.problems import Problem

from .sheets import BANK, codes, sheet
from .test_forecast_cautions import moment, step

PREP = sheet("Put 100 mL of water in the beaker.\nAdd 10 g of table salt.", "table salt")


def left(ph: float, **amounts: float) -> StepForecast:
    """Step 2 ends with 0.1 kg of liquor of these components (`p` for + and `m` for - in names)."""
    items = tuple(
        (name.replace("_p", "+").replace("_m", "-"), amount) for name, amount in amounts.items()
    )
    inside = Inside(60.0, 293.15, Amounts(items), 0.1, Amounts(), 418.0)
    end = replace(moment(293.15, 1e-4), ph=ph)
    return replace(step(), end=end, inside=(inside,))


def words(one: StepForecast) -> str:
    scene = scene_of(Forecast(PREP, steps=(one,)), BANK)
    return " ".join(advice.words for advice in after(scene))


def test_every_quench_is_a_balanced_equation() -> None:
    for rule in waste_rules().values():
        assert rule.component in BANK.components
        if not rule.equation:
            assert rule.kind != "quench"
            continue
        read = parse_equation(rule.equation)
        assert not isinstance(read, Problem), rule.equation
        assert check(read) is None, rule.equation
        assert rule.agent in BANK.substances
        assert rule.ratio > 0.0
    assert set(neutral_protons()) <= set(BANK.components)


AGENTS = (  # 0.1 mol of what is left, grams of the agent: mol ratio of the equation times its mass
    ("ClO_m", "sodium thiosulfate pentahydrate", 0.1 / 4 * 248.18),
    ("I2", "sodium thiosulfate pentahydrate", 0.1 * 2 * 248.18),
    ("H2O2", "sodium sulfite", 0.1 * 126.04),
    ("NO2_m", "sulfamic acid", 0.1 * 97.09),
    ("MnO4_m", "sodium metabisulfite", 0.1 * 5 / 2 / 2 * 190.11),
)


@pytest.mark.parametrize(("component", "agent", "grams"), AGENTS)
def test_the_amount_for_this_batch(component: str, agent: str, grams: float) -> None:
    told = words(left(8.0, **{component: 0.1}))
    assert f"{grams:.2g} g of {agent}" in told


def test_free_acid_is_neutralised_by_its_protons() -> None:
    """0.1 mol of H+ take 8.4 g of sodium hydrogencarbonate (84.01 g/mol)."""
    told = words(left(1.0, **{"H_p": 0.1, "Cl_m": 0.1}))
    assert "8.4 g of sodium hydrogencarbonate" in told


def test_metals_take_alkali_before_the_ph_rises() -> None:
    """Aluminium binds three hydroxides on the way: 0.1 mol of alum counts as 0.3 mol of acid."""
    one = left(3.0, **{"Al_p3": 0.1, "K_p": 0.1})
    assert excess_protons(one) == pytest.approx(0.3)


def test_carbonate_and_alkali_take_acid() -> None:
    one = left(11.5, **{"Na_p": 0.2, "CO3_m2": 0.1})
    assert excess_protons(one) == pytest.approx(-0.1)
    assert "citric acid" in words(one)


def test_copper_does_not_go_down_the_drain() -> None:
    told = words(left(4.0, **{"Cu_p2": 0.01}))
    assert "never to the drain" in told
    assert "pH 8.5" in told


TOUCHY = ("ClO_m", "NO2_m", "HS_m", "SO3_m2", "S2O3_m2", "Fe(CN)6_m4", "SCN_m")


@pytest.mark.parametrize("component", TOUCHY)
def test_acid_is_never_advised_for_what_gives_off_gas_with_it(component: str) -> None:
    told = words(left(12.0, **{component: 0.05, "Na_p": 0.2, "H_p": -0.1}))
    assert "citric acid" not in told
    assert "do not neutralise it with acid" in told


def test_neutral_salt_water_needs_no_agent_and_local_rules_always_stand() -> None:
    scene = scene_of(Forecast(PREP, steps=(left(7.0, **{"Na_p": 0.1, "Cl_m": 0.1}),)), BANK)
    assert after(scene) == (LOCAL,)


def test_what_the_liquor_actually_holds_is_tested_though_no_name_shows_it() -> None:
    one = left(3.0, **{"ClO_m": 0.01, "Na_p": 0.01})
    assert "mixing.bleach-acid" in codes(PREP, one)
    two = left(9.0, **{"ClO_m": 0.01, "NH4_p": 0.01})
    assert "mixing.bleach-ammonia" in codes(PREP, two)
    quiet = left(9.0, **{"ClO_m": 0.01, "Na_p": 0.01})
    assert not [c for c in codes(PREP, quiet) if c.startswith("mixing.")]


def test_a_step_says_what_to_wear_and_what_to_do_first() -> None:
    prep = sheet(
        "Put 100 mL of water in the beaker.\nAdd 10 g of lye pellets.\nAdd 5 g of table salt.",
        "lye pellets",
        "table salt",
    )
    told = {one.step: one for one in care(scene_of(Forecast(prep), BANK))}
    assert set(told) == {2}
    assert "goggles" in told[2].wear[0]
    assert "20 minutes" in told[2].first[0]
    assert all(len(line) < 90 for line in (*told[2].wear, *told[2].first))
