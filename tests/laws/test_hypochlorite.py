"""Adam and Gordon's law against what others say of bleach, and against itself."""

from __future__ import annotations

import math

import pytest

from firstcrop.laws.hypochlorite_adam_1999 import hypochlorite_left, hypochlorite_rate

CHLORINE = 0.0709  # kg/mol of Cl2: "available chlorine" in g/L to mol/L
POWELL = "Powell Fabrication, What factors influence the decomposition rate of sodium hypochlorite"


def rate_of_loss(available: float, temperature: float) -> float:
    """Part lost in a second at the start, of bleach with its equal amount of chloride; g/L."""
    molar = available / CHLORINE
    return molar * hypochlorite_rate(temperature, 2.0 * molar)


def test_twice_the_strength_decomposes_five_times_as_fast():
    """POWELL: 200 g/L decomposes "a factor of 5" faster than 100 g/L, the salt of making it
    included; the word factor of 5 is good to half a unit."""
    assert rate_of_loss(200.0, 298.15) / rate_of_loss(100.0, 298.15) == pytest.approx(5.0, abs=0.5)


def test_ten_degrees_more_make_it_three_and_a_half_times_as_fast():
    """POWELL: 3.5 times for 10 °C; the law gives 3.9 at room temperature, 3.5 at 45 °C."""
    faster = [rate_of_loss(120.0, t + 10.0) / rate_of_loss(120.0, t) for t in (298.15, 318.15)]
    assert faster == pytest.approx([3.5, 3.5], rel=0.15)


def test_the_equation_as_printed():
    """log10 k2 = 0.149 I + log10[2.083e10 T exp(-1.018e5/RT) exp(-56.5/R)], by logarithms."""
    t, r = 298.15, 8.314
    by_hand = 0.149 * 3.0 + math.log10(2.083e10 * t) - (1.018e5 / (r * t) + 56.5 / r) / math.log(10)
    assert math.log10(hypochlorite_rate(t, 3000.0) * 1000.0) == pytest.approx(by_hand, abs=1e-9)


def test_two_months_in_two_steps_or_one():
    """Second order: what is left after one month is the start of the next."""
    month, c = 30 * 86400.0, 1500.0
    once = hypochlorite_left(c, 2 * month, 298.15, 3000.0)
    first = hypochlorite_left(c, month, 298.15, 3000.0)
    assert once == pytest.approx(first * hypochlorite_left(c * first, month, 298.15, 3000.0))
