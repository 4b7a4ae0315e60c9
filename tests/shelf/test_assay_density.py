"""Density to strength, against the published table at 20 °C turned round."""

from __future__ import annotations

import math
from pathlib import Path
from statistics import mean

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.shelf.assay import assay
from firstcrop.shelf.assay_density import density_curve, solve
from firstcrop.shelf.assay_readings import read_readings
from firstcrop.shelf.assay_records import Assay
from firstcrop.shelf.gum import factor

TABLE = Path(__file__).parents[1] / "published" / "density_20c.tsv"
NAMES = {
    "NaCl": "sodium chloride",
    "NaOH": "sodium hydroxide",
    "H2SO4": "sulfuric acid",
    "HCl": "hydrogen chloride",
    "HNO3": "nitric acid",
    "KOH": "potassium hydroxide",
    "(NH4)2SO4": "ammonium sulfate",
    "MgSO4": "magnesium sulfate",
    "CuSO4": "copper(II) sulfate",
    "K2CO3": "potassium carbonate",
    "NH3": "ammonia",
}


def _rows():
    lines = [x for x in TABLE.read_text(encoding="utf-8").splitlines() if x[0] != "#"]
    cells = [line.split("\t") for line in lines[1:]]
    return [(n, float(w) / 100, float(d) * 1e3) for n, w, d in cells if n in NAMES and float(w) > 4]


ROWS = _rows()
KELVIN = 293.15


@pytest.mark.parametrize("solute", sorted({r[0] for r in ROWS}))
def test_the_doubt_of_the_densities_is_what_the_published_table_shows(solute):
    """Handbook of Chemistry and Physics, 102nd ed., at 20 °C: `density_checks.tsv` recomputed."""
    curve = density_curve(load_bank(), NAMES[solute])
    gaps = [curve.density(w, KELVIN) / d - 1 for n, w, d in ROWS if n == solute and w < curve.top]
    assert math.sqrt(mean(g * g for g in gaps)) <= 1.25 * curve.doubt[0] + 1e-4  # rows from 4 % up


def test_the_published_table_turned_round():
    """The strength for each printed density: nine in ten within the ± that the doubt gives it."""
    inside = []
    for solute, fraction, density in ROWS:
        curve = density_curve(load_bank(), NAMES[solute])
        if fraction > curve.top - 0.01:
            continue
        slope = (curve.density(fraction + 0.005, KELVIN) - density) / 0.005
        found = solve(curve, density, KELVIN, (max(fraction - 0.05, 0.0), fraction + 0.05))
        half = factor(0.9, curve.doubt[1]) * curve.doubt[0] * density / abs(slope)
        inside.append(abs(found - fraction) <= half)
    assert len(inside) > 40
    assert mean(inside) >= 0.85


def _found(*rows: str):
    text = "\n".join("\t".join(row.split(" | ")) for row in rows)
    return assay("density", read_readings(text), load_bank())


def test_battery_acid_by_hydrometer():
    found = _found(
        "substance | sulfuric acid",
        "density | 1.219 g/mL | hydrometer 0.001 g/mL",
        "temperature | 20 °C | thermometer 1 °C",
    )
    assert isinstance(found, Assay)
    assert found.value == pytest.approx(0.300, abs=0.001)  # 1.2185 at 30 %: the same handbook
    parts = {name for name, _, _ in found.measured.groups()}
    assert {"density", "temperature", "density table"} <= parts
    molar = _found(
        "substance | sulfuric acid", "density | 1.219 g/mL | hydrometer 0.001 g/mL",
        "temperature | 20 °C | thermometer 1 °C", "in | mol/L",
    )  # fmt: skip
    assert isinstance(molar, Assay)
    assert molar.value == pytest.approx(found.value * 1219.0 / 98.079e-3, rel=1e-4)


def test_warm_liquor_of_the_same_density_is_stronger():
    rows = ("substance | sulfuric acid", "density | 1.219 g/mL | hydrometer 0.001 g/mL")
    cool = _found(*rows, "temperature | 15 °C | thermometer 1 °C")
    warm = _found(*rows, "temperature | 30 °C | thermometer 1 °C")
    assert isinstance(cool, Assay)
    assert isinstance(warm, Assay)
    assert warm.value - cool.value == pytest.approx(0.0117, abs=0.003)


@pytest.mark.parametrize(
    ("substance", "density", "code"),
    [
        ("acetic acid", "1.065 g/mL", "assay.ambiguous"),
        ("sulfuric acid", "2.5 g/mL", "assay.impossible"),
        ("sulfuric acid", "1219 g/mL", "assay.impossible"),
        ("sodium hypochlorite", "1.1 g/mL", "assay.density"),
        ("moonshine", "0.9 g/mL", "assay.density"),
        ("sulfuric acid", "1.2 mL", "assay.unit"),
    ],
)
def test_what_cannot_be_said_is_refused(substance, density, code):
    found = _found(f"substance | {substance}", f"density | {density}", "temperature | 20 °C")
    assert not isinstance(found, Assay)
    assert code in [p.code for p in found]
