"""Vessels are possible bodies, and the described one is found or scaled."""

from __future__ import annotations

import math

import pytest

from firstcrop.bank.tables import read_sources
from firstcrop.bank.vessels import VesselShape, find_vessel, form_of, load_vessels

VESSELS = load_vessels()
SOURCES = read_sources()


@pytest.mark.parametrize("shape", VESSELS, ids=lambda v: f"{v.form} {v.nominal * 1e6:.0f} mL")
def test_row(shape: VesselShape) -> None:
    assert shape.source in SOURCES
    assert shape.nominal < shape.brimful < 2.0 * shape.nominal
    cylinder = math.pi / 4.0 * shape.diameter**2 * shape.height
    assert 0.3 < shape.brimful / cylinder < 1.3, "brim and size belong together"
    assert 0.0 < shape.mass < 3.0
    assert 0.45 < shape.heat_capacity.value / shape.mass / 1000.0 < 2.0


# ISO 3819 low form: outer diameter and height in mm (table of the standard).
ISO_3819 = ((50, 42, 60), (250, 70, 95), (400, 80, 110), (1000, 105, 145))


@pytest.mark.parametrize(("nominal", "outer", "height"), ISO_3819)
def test_beakers_have_the_standard_size(nominal: int, outer: float, height: float) -> None:
    shape = find_vessel(f"{nominal} mL low-form beaker", nominal * 1e-6)
    assert shape is not None
    assert shape.height * 1e3 == pytest.approx(height)
    assert outer - 5.0 < shape.diameter * 1e3 < outer


@pytest.mark.parametrize(
    ("text", "form"),
    [
        ("400 mL low-form beaker", "low-form beaker"),
        ("250 mL Erlenmeyer flask", "conical flask"),
        ("1 L jam jar", "jar"),
        ("two nested polystyrene cups", "foam cup"),
        ("600 mL tall-form beaker", "tall-form beaker"),
        ("250 mL round-bottom flask", "round-bottom flask"),
        ("thing", ""),
    ],
)
def test_form(text: str, form: str) -> None:
    assert form_of(text) == form


def test_an_odd_size_keeps_the_proportions() -> None:
    odd, near = find_vessel("beaker", 3.2e-4), find_vessel("beaker", 2.5e-4)
    assert odd is not None
    assert near is not None
    assert odd.brimful / odd.nominal == pytest.approx(near.brimful / near.nominal, rel=0.1)
    assert odd.height / odd.diameter == pytest.approx(near.height / near.diameter, rel=0.1)
    assert near.mass < odd.mass


@pytest.mark.parametrize("capacity", [0.0, -1.0, math.nan])
def test_no_vessel_of_no_size(capacity: float) -> None:
    assert find_vessel("beaker", capacity) is None
