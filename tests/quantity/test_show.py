"""Values as people read them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstcrop.quantity.read import read_interval, read_quantity
from firstcrop.quantity.records import Kind, Quantity
from firstcrop.quantity.show import format_band, format_spread, format_value

SHOWN = [
    (0.0298, Kind.MASS, "29.8 g"),
    (0.99996, Kind.MASS, "1.00 kg"),
    (3e-7, Kind.MASS, "300 µg"),
    (0.0, Kind.MASS, "0 g"),
    (6e-5, Kind.VOLUME, "60.0 mL"),
    (1.5e-3, Kind.VOLUME, "1.50 L"),
    (12.0, Kind.TIME, "12.0 s"),
    (90.0, Kind.TIME, "1.50 min"),
    (5400.0, Kind.TIME, "1 h 30 min"),
    (7200.0, Kind.TIME, "2 h"),
    (259200.0, Kind.TIME, "3.00 d"),
    (318.35, Kind.TEMPERATURE, "45.2 °C"),
    (268.15, Kind.TEMPERATURE, "−5.0 °C"),
    (273.149, Kind.TEMPERATURE, "0.0 °C"),
    (2.5, Kind.PH, "pH 2.50"),
    (0.853, Kind.FRACTION, "85.3 %"),
    (101325.0, Kind.PRESSURE, "101 kPa"),
    (6.0, Kind.NUMBER, "6.00"),
    (1e-7, Kind.VOLUME_FLOW, "6.00 mL/min"),
    (math.nan, Kind.MASS, "not known"),
]


@pytest.mark.parametrize(("value", "kind", "text"), SHOWN)
def test_shown(value: float, kind: Kind, text: str) -> None:
    assert format_value(value, kind) == text


def test_spread_and_band() -> None:
    assert format_spread(0.0298, 0.0012, Kind.MASS) == "29.8 ± 1.2 g"
    assert format_spread(318.15, 2.0, Kind.TEMPERATURE) == "45.0 ± 2.0 °C"
    assert format_spread(0.0298, 0.0, Kind.MASS) == "29.8 g"
    assert format_band(0.0286, 0.031, Kind.MASS) == "28.6–31.0 g"
    assert format_band(268.15, 275.0, Kind.TEMPERATURE) == "−5.0 to 1.9 °C"
    assert format_band(1.0, 1.0, Kind.MASS) == "1.00 kg"
    assert format_band(math.nan, 1.0, Kind.MASS) == "not known"


@given(st.sampled_from(list(Kind)), st.floats(1e-9, 1e6), st.integers(2, 6))
def test_what_is_shown_reads_back_to_its_rounding(kind: Kind, value: float, digits: int) -> None:
    if (kind is Kind.PH and value > 16.0) or (kind is Kind.DENSITY and not 1 < value < 2e4):
        return
    text = format_value(value, kind, digits)
    found = read_interval(text) if kind is Kind.INTERVAL else read_quantity(text)
    assert isinstance(found, Quantity), (text, found)
    step = {Kind.TEMPERATURE: 1.0, Kind.PH: 0.05, Kind.TIME: 30.0}.get(kind, 0.0)
    assert found.value == pytest.approx(value, rel=0.51 * 10.0 ** (1 - digits), abs=step)
