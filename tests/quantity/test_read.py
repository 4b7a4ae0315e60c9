"""Quantities in every spelling; the message for every wrong one."""

from __future__ import annotations

import pytest

from firstcrop.problems import Place, Problem, Severity
from firstcrop.quantity.read import read_interval, read_quantity, read_quantity_noted
from firstcrop.quantity.records import Kind, Quantity

READ = [
    # text, SI value, kind, 90 % half-width. Arithmetic by hand from the definitions of the units
    ("60 mL", 6e-5, Kind.VOLUME, 0),
    *[(f"20 {u}", 2e-5, Kind.VOLUME, 0) for u in ("ml", "cc", "cm3", "cm³", "millilitres", "ccm")],
    ("0.25 L", 2.5e-4, Kind.VOLUME, 0),
    ("1/2 litre", 5e-4, Kind.VOLUME, 0),
    ("7.0 g", 7e-3, Kind.MASS, 0),
    ("7g", 7e-3, Kind.MASS, 0),
    ("12½ g", 0.0125, Kind.MASS, 0),
    ("250 mg", 2.5e-4, Kind.MASS, 0),
    ("1 lb", 0.45359237, Kind.MASS, 0),
    ("2 oz", 0.05669904625, Kind.MASS, 0),
    ("12,5 g", 0.0125, Kind.MASS, 0),
    ("0,125 g", 1.25e-4, Kind.MASS, 0),
    ("1 500 g", 1.5, Kind.MASS, 0),
    ("1\u202f500 g", 1.5, Kind.MASS, 0),
    ("1,234.5 g", 1.2345, Kind.MASS, 0),
    ("1.234,5 g", 1.2345, Kind.MASS, 0),
    ("1,500,000 mg", 1.5, Kind.MASS, 0),
    ("1.5×10⁻³ mol", 1.5e-3, Kind.AMOUNT, 0),
    ("1.5 x 10^-3 mol", 1.5e-3, Kind.AMOUNT, 0),
    ("2e-3 mol", 2e-3, Kind.AMOUNT, 0),
    ("20 mmol", 0.02, Kind.AMOUNT, 0),
    ("45 °C", 318.15, Kind.TEMPERATURE, 0),
    *[(f"45{u}", 318.15, Kind.TEMPERATURE, 0) for u in ("°C", " C", "º C", " deg C", " degrees C")],
    ("−5 °C", 268.15, Kind.TEMPERATURE, 0),
    ("212 °F", 373.15, Kind.TEMPERATURE, 0),
    ("298 K", 298.0, Kind.TEMPERATURE, 0),
    ("20 min", 1200.0, Kind.TIME, 0),
    *[(f"3 {u}", 180.0, Kind.TIME, 0) for u in ("mins", "minutes", "min.", "minute")],
    ("1 h 30 min", 5400.0, Kind.TIME, 0),
    ("1 hour and 30 minutes", 5400.0, Kind.TIME, 0),
    ("2 min 30 s", 150.0, Kind.TIME, 0),
    ("half an hour", 1800.0, Kind.TIME, 0),
    ("an hour", 3600.0, Kind.TIME, 0),
    ("one and a half hours", 5400.0, Kind.TIME, 0),
    ("2 days", 172800.0, Kind.TIME, 0),
    ("overnight", 43200.0, Kind.TIME, 14400.0),
    ("300 W", 300.0, Kind.POWER, 0),
    ("1.5 kW", 1500.0, Kind.POWER, 0),
    ("1 atm", 101325.0, Kind.PRESSURE, 0),
    ("1013.25 hPa", 101325.0, Kind.PRESSURE, 0),
    ("1.01325 bar", 101325.0, Kind.PRESSURE, 0),
    ("101.325 kPa", 101325.0, Kind.PRESSURE, 0),
    ("750 mmHg", 99991.79056125, Kind.PRESSURE, 0),
    ("50 kJ/mol", 5e4, Kind.ENERGY, 0),
    ("4.184 J", 4.184, Kind.ENERGY, 0),
    ("1.84 g/mL", 1840.0, Kind.DENSITY, 0),
    ("1.84 g/cm3", 1840.0, Kind.DENSITY, 0),
    ("1.84 g·cm⁻³", 1840.0, Kind.DENSITY, 0),
    ("6 mL/min", 1e-7, Kind.VOLUME_FLOW, 0),
    ("6 mL per minute", 1e-7, Kind.VOLUME_FLOW, 0),
    ("6 mL min⁻¹", 1e-7, Kind.VOLUME_FLOW, 0),
    ("0.6 g/min", 1e-5, Kind.MASS_FLOW, 0),
    ("1 K/min", 1 / 60, Kind.HEATING_RATE, 0),
    ("60 °C/h", 1 / 60, Kind.HEATING_RATE, 0),
    ("1 drop per second", 5e-8, Kind.VOLUME_FLOW, 0),
    ("3 drops", 1.5e-7, Kind.DROPS, 0),
    ("1.1 equiv", 1.1, Kind.EQUIVALENTS, 0),
    ("2 eq", 2.0, Kind.EQUIVALENTS, 0),
    ("5 cm", 0.05, Kind.LENGTH, 0),
    ("pH 3", 3.0, Kind.PH, 0),
    ("ph 2.5-3", 2.75, Kind.PH, 0.25),
    ("pH 7.0 ± 0.2", 7.0, Kind.PH, 0.2),
    ("3", 3.0, Kind.NUMBER, 0),
    ("50 %", 0.5, Kind.FRACTION, 0),
    ("half", 0.5, Kind.FRACTION, 0),
    ("two thirds", 2 / 3, Kind.FRACTION, 0),
    ("85 ± 2 %", 0.85, Kind.FRACTION, 0.02),
    ("30 % ± 1", 0.3, Kind.FRACTION, 0.01),
    ("100 ± 2 g", 0.1, Kind.MASS, 0.002),
    ("(100 ± 2) g", 0.1, Kind.MASS, 0.002),
    ("100 g +/- 2 g", 0.1, Kind.MASS, 0.002),
    ("100 g ± 2", 0.1, Kind.MASS, 0.002),
    ("100 g ± 2 %", 0.1, Kind.MASS, 0.002),
    ("1 L ± 5 mL", 1e-3, Kind.VOLUME, 5e-6),
    ("20 °C ± 1 K", 293.15, Kind.TEMPERATURE, 1.0),
    ("212 ± 9 °F", 373.15, Kind.TEMPERATURE, 5.0),
    *[
        (t, 1.1e-5, Kind.VOLUME, 1e-6)
        for t in (
            "10-12 mL",
            "10–12 mL",
            "10 — 12 mL",
            "10 to 12 mL",
            "10 mL to 12 mL",
            "12-10 mL",
            "between 10 and 12 mL",
            "from 10 to 12 mL",
        )
    ],
    ("-5 to 5 °C", 273.15, Kind.TEMPERATURE, 5.0),
    ("-5--1 °C", 270.15, Kind.TEMPERATURE, 2.0),
    ("500 g - 1 kg", 0.75, Kind.MASS, 0.25),
    ("about 10 mL", 1e-5, Kind.VOLUME, 1e-6),
    ("~10 mL", 1e-5, Kind.VOLUME, 1e-6),
    ("10 mL or so", 1e-5, Kind.VOLUME, 1e-6),
    ("about 60 °C", 333.15, Kind.TEMPERATURE, 6.0),
    ("about 5 °C", 278.15, Kind.TEMPERATURE, 2.0),
    ("about 10 ± 3 mL", 1e-5, Kind.VOLUME, 3e-6),
]

WRONG = [
    # text, code, column, length, part of message or hint
    ("", "quantity-empty", 1, 1, "no quantity"),
    ("   ", "quantity-empty", 1, 3, "no quantity"),
    ("1,500 g", "quantity-number", 1, 5, "Write 1500 or 1.500"),
    ("1.2.3 g", "quantity-number", 1, 5, "no number"),
    ("1/0 g", "quantity-number", 1, 3, "over 0"),
    ("water", "quantity-number", 1, 5, "no number"),
    ("5 foo", "quantity-unit", 3, 3, "no unit"),
    ("5 mll", "quantity-unit", 3, 3, "Did you mean ml"),
    ("2 cups", "quantity-unit", 3, 4, "in mL"),
    ("1 tsp", "quantity-unit", 3, 3, "in mL"),
    ("1 tbsp", "quantity-unit", 3, 4, "in mL"),
    ("1 pint", "quantity-unit", 3, 4, "in mL"),
    ("5 gr", "quantity-unit", 3, 2, "Write g"),
    ("a few drops", "quantity-vague", 1, 11, "rough one may say so"),
    ("a pinch", "quantity-vague", 1, 7, "no amount"),
    ("several mL", "quantity-vague", 1, 10, "no amount"),
    ("<5 mL", "quantity-bound", 1, 5, "5 mL"),
    ("up to 50 mL", "quantity-bound", 1, 11, "range"),
    ("2 M", "quantity-strength", 1, 3, "strength"),
    ("30 % w/w", "quantity-strength", 1, 8, "strength"),
    ("-5 g", "quantity-impossible", 1, 4, "cannot be negative"),
    ("-3 min", "quantity-impossible", 1, 6, "cannot be negative"),
    ("-300 °C", "quantity-impossible", 1, 7, "absolute zero"),
    ("-1 K", "quantity-impossible", 1, 4, "absolute zero"),
    ("pH 20", "quantity-impossible", 1, 5, "between -2 and 16"),
    ("1e400 g", "quantity-impossible", 1, 7, "too large"),
    ("1e-400 g", "quantity-impossible", 1, 8, "too small"),
    ("50 g/mL", "quantity-impossible", 1, 7, "density"),
    ("10 mL of acid", "quantity-trailing", 7, 7, "of acid"),
    ("5 g 3 mL", "quantity-trailing", 5, 4, "3 mL"),
    ("20 °C ± 5 %", "quantity-spread", 9, 3, "no meaning"),
    ("5 g ± 2 mL", "quantity-spread", 7, 4, "does not fit"),
    ("5 ± g", "quantity-spread", 4, 1, "must follow"),
    ("10 g to 5 mL", "quantity-range", 1, 12, "no meaning"),
    ("between 5 mL", "quantity-range", 9, 4, "two values"),
    ("(100 ± 2", "quantity-bracket", 1, 1, "never closed"),
    ("1" * 300, "quantity-long", 1, 300, "too long"),
]


@pytest.mark.parametrize(("text", "value", "kind", "band"), READ)
def test_read(text: str, value: float, kind: Kind, band: float) -> None:
    found = read_quantity(text)
    assert isinstance(found, Quantity), found
    assert found.kind is kind
    assert found.value == pytest.approx(value, rel=1e-12)
    assert found.band == pytest.approx(band, rel=1e-12)
    assert found.text == text


@pytest.mark.parametrize(("text", "code", "column", "length", "told"), WRONG)
def test_wrong_quantities_say_where_and_what(
    text: str, code: str, column: int, length: int, told: str
) -> None:
    problem = read_quantity(text, Place(5, 21, len(text), "s.md"))
    assert isinstance(problem, Problem), problem
    assert problem.code == code
    assert problem.places == (Place(5, 20 + column, length, "s.md"),)
    assert told in f"{problem.message} {problem.hint}"


def test_values_are_exact_decimals() -> None:
    """60 mL is the float nearest to 6e-5, not 60 times the float nearest to 1e-6."""
    for text, value in (("60 mL", 6e-5), ("0.3 g", 3e-4), ("20 °C", 293.15), ("7 mg", 7e-6)):
        found = read_quantity(text)
        assert isinstance(found, Quantity)
        assert found.value == value


@pytest.mark.parametrize(
    ("text", "codes"),
    [
        ("12,5 g", ["quantity-decimal-comma"]),
        ("about 12,5 g", ["quantity-decimal-comma", "quantity-about"]),
        ("5 ML", ["quantity-unit-case"]),
        ("overnight", ["quantity-overnight"]),
        ("3 drops", ["quantity-drops"]),
        ("12.5 g", []),
    ],
)
def test_what_was_assumed_is_noted(text: str, codes: list[str]) -> None:
    quantity, notes = read_quantity_noted(text, Place(2, 1, len(text)))
    assert quantity is not None
    assert [n.code for n in notes] == codes
    assert all(n.severity is Severity.NOTE for n in notes)


def test_note_stands_under_the_number() -> None:
    _, notes = read_quantity_noted("about 12,5 g", Place(2, 31, 12))
    assert notes[0].places[0] == Place(2, 37, 4)


def test_a_step_of_temperature_has_no_offset() -> None:
    for text in ("10 °C", "10 K", "18 °F", "10 C"):
        step = read_interval(text)
        assert isinstance(step, Quantity)
        assert (step.kind, step.value) == (Kind.INTERVAL, pytest.approx(10.0))
    problem = read_interval("10 mL", Place(1))
    assert isinstance(problem, Problem)
    assert problem.code == "quantity-unit"
