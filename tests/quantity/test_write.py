"""The writer is the reader's twin, and no text whatever makes the reader raise."""

from __future__ import annotations

import math
import string

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firstcrop.problems import Place, Problem
from firstcrop.quantity.read import (
    read_interval,
    read_quantity,
    read_quantity_noted,
    read_strength,
    read_strength_noted,
    units,
)
from firstcrop.quantity.records import Basis, Kind, Quantity, Strength
from firstcrop.quantity.write import write_quantity, write_strength

WRITTEN = [
    ("7.0 g", "7 g"),
    ("10–12 mL", "11 ± 1 mL"),
    ("100 g ± 2 %", "100 ± 2 g"),
    ("−5 °C", "−5 °C"),
    ("-5 to 5 °C", "0 ± 5 °C"),
    ("1 h 30 min", "90 min"),
    ("overnight", "12 ± 4 h"),
    ("pH 2.5-3", "pH 2.75 ± 0.25"),
    ("half", "50 %"),
    ("3 drops", "3 drops"),
    ("2 cc per minute", "2 mL/min"),
    ("1e-9 g", "1e-9 g"),
]
AMOUNTS = {  # kind: units it may be written in
    Kind.MASS: ["g", "kg", "mg", "lb", "oz", "", "nonsense"],
    Kind.VOLUME: ["mL", "L", "m3"],
    Kind.AMOUNT: ["mol", "mmol"],
    Kind.TIME: ["s", "min", "h", "d"],
    Kind.PRESSURE: ["kPa", "mmHg", "bar"],
    Kind.ENERGY: ["kJ", "kJ/mol"],
    Kind.VOLUME_FLOW: ["mL/min", "drops/s"],
    Kind.MASS_FLOW: ["g/min"],
    Kind.HEATING_RATE: ["K/min", "°C/h"],
    Kind.EQUIVALENTS: ["equiv"],
    Kind.DROPS: ["drops"],
    Kind.NUMBER: [""],
    Kind.FRACTION: ["%"],
}
BASES = {
    Basis.WW: (["% w/w", "ppm", "g/kg"], 1.0),
    Basis.VV: (["% v/v"], 1.0),
    Basis.WV: (["% w/v"], 2000.0),
    Basis.MOLARITY: (["mol/L", "mmol/L"], 20e3),
    Basis.MOLALITY: (["mol/kg"], 30.0),
    Basis.MASS_CONCENTRATION: (["g/L", "mg/mL"], 1000.0),
    Basis.NORMALITY: (["N"], 20e3),
}


@pytest.mark.parametrize(("text", "written"), WRITTEN)
def test_written_form(text: str, written: str) -> None:
    found = read_quantity(text)
    assert isinstance(found, Quantity)
    assert write_quantity(found) == written


def test_not_finite_is_not_known() -> None:
    assert write_quantity(Quantity(math.nan, Kind.MASS)) == "not known"
    assert write_strength(Strength(math.inf, Basis.WW)) == "not known"


def reads_back(quantity: Quantity) -> None:
    text = write_quantity(quantity)
    found = read_interval(text) if quantity.kind is Kind.INTERVAL else read_quantity(text)
    assert isinstance(found, Quantity), (text, found)
    assert (found.value, found.band, found.kind) == (quantity.value, quantity.band, quantity.kind)


sizes = st.floats(1e-12, 1e9)


@given(st.sampled_from(list(AMOUNTS)), st.data(), sizes, st.one_of(st.just(0.0), sizes))
@settings(max_examples=250, deadline=None)
def test_any_quantity_reads_back_to_the_last_bit(
    kind: Kind, data: st.DataObject, value: float, band: float
) -> None:
    reads_back(Quantity(value, kind, band, data.draw(st.sampled_from(AMOUNTS[kind]))))


@given(st.floats(0.0, 2000.0), st.floats(0.0, 50.0), st.sampled_from(["°C", "K", "°F"]))
@settings(max_examples=200, deadline=None)
def test_any_temperature_and_step_reads_back(value: float, band: float, unit: str) -> None:
    reads_back(Quantity(value, Kind.INTERVAL, band, unit))
    if value > 1e-3:
        reads_back(Quantity(value, Kind.TEMPERATURE, band, unit))


@given(st.floats(-2.0, 16.0), st.floats(0.0, 2.0))
def test_any_ph_reads_back(value: float, band: float) -> None:
    reads_back(Quantity(value, Kind.PH, band))


rests = st.sampled_from(["water", "ethanol", "isopropyl alcohol", "sodium chloride"])


@given(st.sampled_from(list(BASES)), st.data(), st.floats(1e-6, 1.0), st.floats(0, 0.5), rests)
@settings(max_examples=200, deadline=None)
def test_any_strength_reads_back(
    basis: Basis, data: st.DataObject, share: float, band: float, rest: str
) -> None:
    names, top = BASES[basis]
    unit = data.draw(st.sampled_from(names))
    strength = Strength(share * top, basis, band * top, rest, unit)
    assert read_strength(write_strength(strength)) == strength


@given(st.floats(250.0, 400.0), st.floats(400.0, 3000.0))
def test_saturated_and_density_read_back(temperature: float, density: float) -> None:
    for strength in (
        Strength(temperature, Basis.SATURATED, 0.0, "water", "°C"),
        Strength(density, Basis.DENSITY, 10.0, "water", "g/mL"),
    ):
        assert read_strength(write_strength(strength)) == strength


WORDS = "to about pH w/w in saturated at M e 10 1,5 overnight between and rest water few a"
pieces = st.sampled_from([*units(), *"0123456789", *" .,±-–−~()%/½²⁻°·×", *WORDS.split()])
noise = st.one_of(
    st.text(max_size=30),
    st.lists(pieces, max_size=8).map("".join),
    st.lists(pieces, max_size=8).map(" ".join),
    st.text(string.printable, max_size=20),
)


@given(noise)
@settings(max_examples=1000, deadline=None)
def test_no_text_makes_the_readers_raise(text: str) -> None:
    place = Place(3, 1, max(len(text), 1))
    for value, problems in (read_quantity_noted(text, place), read_strength_noted(text, place)):
        for problem in problems:
            spot = problem.places[0]
            assert spot.line == 3
            # what is missing at the end is shown one past it
            assert 1 <= spot.column <= len(text) + 1
            assert spot.column + spot.length - 1 <= len(text) + 1, (problem, text)
        if isinstance(value, Quantity):
            assert math.isfinite(value.value)
            assert value.band >= 0.0
            again = read_quantity(write_quantity(value))
            assert again == value, (text, write_quantity(value))
        elif isinstance(value, Strength):
            again_strength = read_strength(write_strength(value))
            assert again_strength == value, (text, write_strength(value))
        else:
            assert isinstance(problems[0], Problem)


GOOD = [
    "85 ± 2 % w/w, rest water",
    "10–12 mL",
    "about 12,5 g",
    "1 h 30 min",
    "saturated at 20 °C",
    "pH 3 ± 0.2",
    "100 g ± 2 %",
    "0.5 M in ethanol",
    "−5 to 5 °C",
    "2 mL/min",
]


@given(st.sampled_from(GOOD), st.integers(0, 30), st.integers(0, 3), st.text(max_size=2))
@settings(max_examples=1000, deadline=None)
def test_good_text_spoiled(text: str, at: int, cut: int, put: str) -> None:
    spoiled = text[:at] + put + text[at + cut :]
    for read in (read_quantity, read_strength):
        found = read(spoiled, Place(1, 1, max(len(spoiled), 1)))
        if isinstance(found, Quantity):
            assert read_quantity(write_quantity(found)) == found
        elif isinstance(found, Strength):
            assert read_strength(write_strength(found)) == found
