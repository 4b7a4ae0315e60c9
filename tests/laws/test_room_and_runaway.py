"""One aired room, and the time a batch takes to run away: closed forms and worked values."""

from __future__ import annotations

import math

import pytest

from firstcrop.laws.evaporation_rmp_1999 import molar_flux
from firstcrop.laws.room_one_box_1987 import room_amount
from firstcrop.laws.runaway_semenov_1928 import time_to_maximum_rate

HOUR = 3600.0


def test_a_closed_room_keeps_what_it_gets():
    assert room_amount(1e-3, 100.0, 0.0) == pytest.approx(0.1)


def test_a_puff_of_ammonia_falls_to_its_limit():
    """0.05 mol in 30 m3 is 40.8 ppm at 25 °C; at half an air change an hour it falls to 25 ppm
    after ln(40.8/25)/0.5 = 0.98 h (arithmetic of C = C0 exp(-a t))."""
    ppm = 0.05 * 8.31446 * 298.15 / 101325.0 / 30.0 * 1e6
    assert ppm == pytest.approx(40.8, abs=0.05)
    left = room_amount(0.0, 0.98 * HOUR, 0.5 / HOUR, 0.05)
    assert left / 0.05 * ppm == pytest.approx(25.0, abs=0.1)


def test_a_steady_source_comes_to_its_plateau():
    """1 mol/h of hydrogen at half an air change an hour comes to 2 mol in the room."""
    plateau = room_amount(1.0 / HOUR, 100.0 * HOUR, 0.5 / HOUR)
    assert plateau == pytest.approx(2.0)
    half = room_amount(1.0 / HOUR, math.log(2.0) / 0.5 * HOUR, 0.5 / HOUR)
    assert half == pytest.approx(1.0)


def test_two_halves_make_the_whole():
    """The balance is linear in time: going on from the middle changes nothing."""
    middle = room_amount(2e-4, 600.0, 1e-3, 0.3)
    assert room_amount(2e-4, 600.0, 1e-3, middle) == pytest.approx(
        room_amount(2e-4, 1200.0, 1e-3, 0.3)
    )


def test_time_to_maximum_rate_by_hand():
    """1800 J/(kg K), 100 °C, 0.5 W/kg, 120 kJ/mol: 9.65 h (arithmetic of C R T^2 / (q E))."""
    found = time_to_maximum_rate(0.5, 1800.0, 373.15, 120e3)
    assert found / HOUR == pytest.approx(9.65, abs=0.01)


def test_evaporation_agrees_with_the_form_in_pounds_and_feet():
    """QR = 0.284 u^0.78 M^(2/3) A P / (82.05 T), lb/min, ft2, mmHg, g/mol (equation D-1)."""
    speed, molar_mass, pressure, temperature = 1.5, 0.05808, 30800.0, 298.15
    pounds = 0.284 * speed**0.78 * 58.08 ** (2 / 3) * (pressure / 133.322) / (82.05 * temperature)
    kilograms = pounds * 0.45359 / 60.0 / 0.092903  # of a square foot, per m2 and s
    found = molar_flux(pressure, molar_mass, temperature, speed) * molar_mass
    assert found == pytest.approx(kilograms, rel=0.01)
