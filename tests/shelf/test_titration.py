"""Forecast titration curves: published ones, the laws they must keep, and the indicators."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.problems import Problem
from firstcrop.shelf.titration import forecast_titration
from firstcrop.shelf.titration_records import TitrationForecast

TABLE = Path(__file__).parents[1] / "published" / "titration_curves.tsv"


def _rows():
    lines = [x for x in TABLE.read_text(encoding="utf-8").splitlines() if x[0] != "#"]
    return [tuple(line.split("\t")) for line in lines[1:]]


@cache
def _curve(method, substance, amount, water, strength) -> TitrationForecast:
    found = forecast_titration(method, substance, amount, water, strength, load_bank())
    assert isinstance(found, TitrationForecast), found
    return found


@pytest.mark.parametrize("row", _rows(), ids=lambda r: f"{r[1]} {r[5]} mL")
def test_published_curves(row):
    method, substance, sample, water, strength, volume, value, within = row
    found = _curve(method, substance, float(sample), float(water) * 1e-6, float(strength) * 1e3)
    at = np.interp(float(volume) * 1e-6, found.volumes, found.values)
    assert at == pytest.approx(float(value), abs=float(within))


def _usual(method, substance, amount=2e-3):
    return _curve(method, substance, amount, 75e-6, 100.0)


def _fit(found: TitrationForecast) -> list[str]:
    return [i.name for i in found.indicators if i.fits]


def test_equivalence_is_where_the_amounts_match():
    for substance, count in (("acetic acid", 1), ("phosphoric acid", 2), ("citric acid", 3)):
        found = _usual("acid by alkali", substance, 0.7e-3)
        assert [e.volume for e in found.equivalences] == pytest.approx(
            [7e-6 * k for k in range(1, count + 1)]
        )
        assert found.counted == count - 1


def test_curves_rise_with_alkali_and_fall_with_acid():
    for method, substance, sign in (
        ("acid by alkali", "citric acid", 1.0),
        ("alkali by acid", "sodium carbonate", -1.0),
        ("halide by silver", "sodium chloride", -1.0),
    ):
        values = sign * np.array(_usual(method, substance, 1e-3).values)
        assert (np.diff(values) > -1e-6).all()


def test_the_textbook_choice_of_indicator():
    assert "phenolphthalein" in _fit(_usual("acid by alkali", "acetic acid"))
    assert "methyl orange" not in _fit(_usual("acid by alkali", "acetic acid"))
    assert "methyl red" in _fit(_usual("alkali by acid", "ammonia"))
    assert "phenolphthalein" not in _fit(_usual("alkali by acid", "ammonia"))
    assert "methyl red" in _fit(_usual("alkali by acid", "borax", 1e-3))
    strong = _fit(_usual("acid by alkali", "hydrogen chloride"))
    assert {"phenolphthalein", "bromothymol blue", "methyl red"} <= set(strong)
    assert _fit(_usual("halide by silver", "sodium chloride")) == ["potassium chromate 0.005 mol/L"]


def test_what_no_indicator_shows():
    """Boric acid without mannitol; the first proton of carbonic acid; carbonate unboiled."""
    boric = _usual("acid by alkali", "boric acid")
    assert _fit(boric) == []
    assert boric.equivalences[0].words == "too blurred to be seen"
    assert _fit(_usual("alkali by acid", "sodium carbonate", 1e-3)) == []


def test_an_indicator_error_is_what_the_curve_says():
    found = _usual("acid by alkali", "acetic acid")
    shown = next(i for i in found.indicators if i.name == "phenolphthalein")
    volume = found.equivalences[0].volume * (1.0 + shown.middle)
    assert np.interp(volume, found.volumes, found.values) == pytest.approx(9.1, abs=0.02)
    assert shown.begins < shown.middle < shown.ends
    assert shown.colours == ("colourless", "pink")


def test_stronger_solutions_are_sharper():
    strong = _curve("acid by alkali", "acetic acid", 20e-3, 75e-6, 1000.0)
    weak = _curve("acid by alkali", "acetic acid", 0.2e-3, 75e-6, 10.0)
    assert strong.equivalences[0].jump > weak.equivalences[0].jump + 0.5


def test_the_metal_counts_however_it_was_brought():
    """Calcium from its carbonate dissolved in acid, or from its chloride: one curve."""
    carbonate = _usual("complexometry", "calcium carbonate", 1e-3)
    chloride = _usual("complexometry", "calcium chloride dihydrate", 1e-3)
    assert carbonate.scale == "pCa"
    assert carbonate.values == pytest.approx(chloride.values, abs=0.01)
    assert carbonate.problems[0].code == "assay.estimate"


def test_zinc_held_by_ammonia_is_still_sharper_than_magnesium():
    zinc = _usual("complexometry", "zinc sulfate heptahydrate", 1e-3)
    magnesium = _usual("complexometry", "magnesium sulfate heptahydrate", 1e-3)
    assert zinc.equivalences[0].jump > magnesium.equivalences[0].jump + 1.0
    assert zinc.values[0] > magnesium.values[0] + 2.0  # ammonia holds zinc from the start
    (shown,) = magnesium.indicators
    assert shown.name == "Eriochrome black T"
    assert abs(shown.middle) < 0.005
    assert zinc.indicators == ()
    assert "xylenol orange" in zinc.end


def test_redox_and_back_titrations_say_why_they_have_no_curve():
    for method, substance in (
        ("iodometry", "sodium hypochlorite"),
        ("complexometry by back titration", "potassium alum"),
        ("silver by thiocyanate", "silver nitrate"),
    ):
        found = _usual(method, substance)
        assert found.volumes == ()
        assert "no curve" in found.why
        assert found.equivalences[0].volume > 0.0
        assert math.isnan(found.equivalences[0].value)


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (("tasting", "acetic acid", 1e-3, 5e-5, 100.0), "assay.method"),
        (("acid by alkali", "sodium chloride", 1e-3, 5e-5, 100.0), "assay.substance"),
        (("acid by alkali", "acetic acid", 0.0, 5e-5, 100.0), "assay.titration"),
        (("acid by alkali", "acetic acid", 1e-3, 5e-5, -1.0), "assay.titration"),
    ],
)
def test_what_cannot_be_titrated_is_said(arguments, code):
    (problem,) = forecast_titration(*arguments, load_bank())
    assert isinstance(problem, Problem)
    assert problem.code == code
