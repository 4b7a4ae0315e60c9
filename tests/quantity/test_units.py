"""Every factor of the unit table against a general unit library."""

from __future__ import annotations

from decimal import Decimal
from importlib.resources import files

import pint
import pytest

from firstcrop.quantity.records import Kind, Quantity
from firstcrop.quantity.units import match_unit, table, unit_named, units

SI = {
    Kind.MASS: "kg",
    Kind.VOLUME: "m**3",
    Kind.AMOUNT: "mol",
    Kind.TEMPERATURE: "kelvin",
    Kind.TIME: "s",
    Kind.POWER: "W",
    Kind.PRESSURE: "Pa",
    Kind.LENGTH: "m",
    Kind.ENERGY: "J",
    Kind.DROPS: "m**3",
    Kind.EQUIVALENTS: "",
    Kind.FRACTION: "",
}


def rows() -> list[list[str]]:
    text = (files("firstcrop.quantity") / "units.tsv").read_text(encoding="utf-8")
    return [r.split("\t") for r in text.splitlines() if r and not r.startswith("#")][1:]


@pytest.fixture(scope="module")
def library() -> pint.UnitRegistry:
    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


@pytest.mark.parametrize("row", rows(), ids=lambda row: row[0])
def test_factor_against_a_unit_library(row: list[str], library: pint.UnitRegistry) -> None:
    name, kind, factor, offset, _, checked_as = row
    target = SI[Kind(kind)]
    if Kind(kind) is Kind.TEMPERATURE:
        for degrees in (0.0, 100.0):
            theirs = library.Quantity(degrees, checked_as).to(target).magnitude
            assert table()[name].si(Decimal(degrees)) == pytest.approx(theirs, rel=1e-13)
        return
    theirs = library.Quantity(f"1 * {checked_as}").to(target).magnitude
    assert float(factor) == pytest.approx(theirs, rel=1e-9)  # the library rounds psi and torr
    assert float(offset) == 0.0


def test_no_spelling_means_two_units() -> None:
    spellings = [s for row in rows() for s in row[4].split(";")]
    assert len(spellings) == len(set(spellings))


def test_every_unit_offered_is_understood() -> None:
    from firstcrop.problems import Problem
    from firstcrop.quantity.read import read_quantity

    for spelling in units():
        found = match_unit(spelling, 0)
        assert found is not None, spelling
        assert found.end == len(spelling), spelling
        read = read_quantity(f"1 {spelling}")
        assert isinstance(read, Quantity) or (
            isinstance(read, Problem) and read.code == "quantity-strength"
        ), spelling


def test_units_that_only_look_alike() -> None:
    assert match_unit("5", 0) is None
    assert match_unit("foo", 0) is None
    assert match_unit("gx", 0) is None
    assert unit_named("ML") is None
    found = match_unit("mL foo", 0)
    assert found is not None
    assert found.end == 2
