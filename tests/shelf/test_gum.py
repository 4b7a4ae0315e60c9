"""The measurement engine: the guide's own worked example, sampling, and what must hold."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstcrop.shelf.gum import (
    Input,
    Shape,
    deviation,
    factor,
    limits,
    mean,
    of_band,
    propagate,
)

LENGTH = 50.0e6  # nm


def _end_gauge(x):
    """JCGM 100:2008 H.1, equation (H.3): lengths in nm, theta the temperature less 20 °C."""
    theta = x["mean temperature"] + x["swing"]
    stretch = x["difference of expansion"] * theta + x["expansion"] * x["difference of temperature"]
    standard = x["standard"]
    return standard + x["comparison"] + x["random"] + x["systematic"] - standard * stretch


END_GAUGE = (  # JCGM 100:2008 H.1, table H.1
    Input("standard", 50.000623e6, 25.0, "nm", freedom=18),
    Input("comparison", 215.0, 5.8, "nm", freedom=24),
    Input("random", 0.0, 3.9, "nm", freedom=5),
    Input("systematic", 0.0, 6.7, "nm", freedom=8),
    Input("expansion", 11.5e-6, 1.2e-6, "1/K"),
    Input("mean temperature", -0.1, 0.2, "K"),
    Input("swing", 0.0, 0.35, "K"),
    Input("difference of expansion", 0.0, 0.58e-6, "1/K", freedom=50),
    Input("difference of temperature", 0.0, 0.029, "K", freedom=2),
)


def test_the_guides_end_gauge_comes_out_as_printed():
    found = propagate(END_GAUGE, _end_gauge)
    assert found.value == pytest.approx(50.000838e6, abs=0.5)  # mm, printed to the nanometre
    assert round(found.u) == 32
    assert math.floor(found.freedom) == 16
    assert round(factor(0.99, 16), 2) == 2.92
    assert round(factor(0.99, 16) * 32) == 93
    parts = {row.input.name: row.contribution for row in found.rows}
    assert parts["difference of expansion"] == pytest.approx(2.9, abs=0.05)
    # printed 16.6, of the nominal length and u rounded to 0.029
    assert parts["difference of temperature"] == pytest.approx(16.6, abs=0.1)
    assert parts["expansion"] == pytest.approx(0.0, abs=1e-6)


def test_coverage_factors_of_table_g2():
    printed = {1: (6.31, 12.71), 5: (2.02, 2.57), 10: (1.81, 2.23), 50: (1.68, 2.01)}
    for freedom, (at_90, at_95) in printed.items():
        assert round(factor(0.90, freedom), 2) == at_90
        assert round(factor(0.95, freedom), 2) == at_95
    assert factor(0.90, math.inf) == pytest.approx(1.645, abs=5e-4)
    assert factor(0.95, math.inf) == pytest.approx(1.960, abs=5e-4)


def test_sampling_agrees_where_the_model_is_smooth():
    """JCGM 101: draws from the stated distributions through the same function."""
    inputs = (
        Input("mass", 0.3888, limits(0.0003), "g", Shape.RECTANGULAR),
        Input("volume", 18.64, limits(0.05, Shape.TRIANGULAR), "mL", Shape.TRIANGULAR),
        Input("molar mass", 204.22, 0.0046, "g/mol"),
        Input("repeatability", 1.0, 0.0005),
    )
    found = propagate(inputs, _strength)
    rng = np.random.default_rng(20251125)
    draws = {i.name: _draw(i, rng, 200_000) for i in inputs}
    sampled = np.array(_strength(draws))
    # 200 000 draws: the spread is known to 0.2 %, a quantile to about 0.5 % of the spread
    assert found.u == pytest.approx(sampled.std(), rel=0.01)
    assert found.value == pytest.approx(sampled.mean(), rel=1e-5)
    low, high = np.quantile(sampled, (0.05, 0.95))
    assert 0.5 * (high - low) == pytest.approx(found.half_width(0.9), rel=0.02)


def _strength(x):
    return x["repeatability"] * x["mass"] / x["molar mass"] / x["volume"]


def _draw(i, rng, count):
    match i.shape:
        case Shape.RECTANGULAR:
            return i.value + i.u * math.sqrt(3) * rng.uniform(-1, 1, count)
        case Shape.TRIANGULAR:
            return i.value + i.u * math.sqrt(6) * rng.triangular(-1, 0, 1, count)
        case _:
            return i.value + i.u * rng.standard_normal(count)


@given(st.floats(0.1, 10), st.floats(0.1, 10), st.floats(1e-4, 0.02), st.floats(1e-4, 0.02))
def test_a_quotient_adds_relative_variances(a, b, part_a, part_b):
    found = propagate(
        (Input("a", a, a * part_a), Input("b", b, b * part_b)), lambda x: x["a"] / x["b"]
    )
    assert found.u / found.value == pytest.approx(math.hypot(part_a, part_b), rel=1e-5)
    assert math.fsum(row.share for row in found.rows) == pytest.approx(1.0)


def test_an_influence_shared_by_both_readings_can_cancel():
    warm = Input("temperature", 3.0, 2.0, "K")
    found = propagate((warm,), lambda x: (10.0 * (1 + x["temperature"])) / (1 + x["temperature"]))
    assert found.u == pytest.approx(0.0, abs=1e-12)


def test_groups_add_up_and_the_largest_comes_first():
    inputs = (
        Input("a", 1.0, 0.3, of="mass"),
        Input("b", 1.0, 0.4, of="mass"),
        Input("c", 1.0, 0.1),
    )
    found = propagate(inputs, lambda x: x["a"] + x["b"] + x["c"])
    assert [g[0] for g in found.groups()] == ["mass", "c"]
    assert found.groups()[0][1] == pytest.approx(0.5)
    assert math.fsum(g[2] for g in found.groups()) == pytest.approx(1.0)


def test_an_input_without_uncertainty_still_has_a_sensitivity():
    found = propagate((Input("a", 2.0, 0.0),), lambda x: x["a"] ** 3)
    assert found.rows[0].sensitivity == pytest.approx(12.0, rel=1e-6)
    assert (found.u, found.rows[0].share) == (0.0, 0.0)
    assert math.isinf(found.freedom)


def test_the_same_name_twice_is_a_bug():
    with pytest.raises(ValueError, match="one name"):
        propagate((Input("a", 1.0, 0.1), Input("a", 2.0, 0.1)), lambda x: x["a"])


def test_limits_bands_and_replicates():
    from firstcrop.quantity.records import Kind, Quantity

    assert limits(0.1) == pytest.approx(0.0577, abs=5e-5)  # QUAM A1: 0.1 over root 3
    assert limits(0.1, Shape.TRIANGULAR) == pytest.approx(0.0408, abs=5e-5)  # over root 6
    assert of_band(Quantity(1.0, Kind.MASS, 0.1645)) == pytest.approx(0.1, rel=1e-3)
    assert mean((1.0, 2.0, 3.0)) == 2.0
    assert deviation((1.0, 2.0, 3.0)) == pytest.approx(1.0)
    assert math.isnan(deviation((1.0,)))
