"""An assay and a titration as people see them."""

from __future__ import annotations

from pathlib import Path

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.shelf.assay import assay
from firstcrop.shelf.assay_readings import read_readings
from firstcrop.shelf.assay_records import Assay
from firstcrop.shelf.titration import forecast_titration
from firstcrop.shelf.titration_records import TitrationForecast
from firstcrop.views.assay import (
    budget_rows,
    curve_sentences,
    indicator_rows,
    result_sentences,
)
from firstcrop.views.titration_chart import describe, titration_chart

CASES = Path(__file__).parents[1] / "published" / "assays"


def _assay(stem: str) -> Assay:
    text = (CASES / f"{stem}.md").read_text(encoding="utf-8")
    found = assay("", read_readings(text), load_bank())
    assert isinstance(found, Assay)
    return found


def _curve(method="acid by alkali", substance="acetic acid") -> TitrationForecast:
    found = forecast_titration(method, substance, 2e-3, 75e-6, 100.0, load_bank())
    assert isinstance(found, TitrationForecast)
    return found


def test_the_result_reads_as_a_sentence():
    first, second, *_ = result_sentences(_assay("quam-a2-sodium-hydroxide"))
    assert first == "sodium hydroxide: 0.10214 ± 0.00017 mol/L (90 %); ± 0.0002 mol/L at 95 %."
    assert second == "Method: standardise; one titration or weighing."
    melted = result_sentences(_assay("naphthalene-melting"))
    assert "mol % pure" in melted[0]


def test_the_budget_has_units_of_the_bench_and_adds_up():
    rows = budget_rows(_assay("bleach-by-iodometry"))
    outer = [r for r in rows if not r.inner]
    shares = [float(r.share.removesuffix(" %").removeprefix("< ")) for r in outer]
    assert shares == sorted(shares, reverse=True)
    assert 97 <= sum(shares) <= 107  # parts below 1 % count as 1 here
    assert any(r.name == "temperature" and r.value == "20.0 °C" for r in rows)
    assert not any("e-0" in r.u and r.u.endswith("mL") and "e-05" in r.u for r in rows)
    assert next(r for r in rows if r.name == "titre").value == "35.50 mL"
    inner = [r for r in rows if r.inner]
    assert {"flask", "filling"} <= {r.name for r in inner}
    assert all(r.u.split()[-1] in ("mL",) for r in inner)


def test_a_curve_in_words_and_its_indicators():
    found = _curve()
    words = " ".join(curve_sentences(found))
    assert "Equivalence at 20.00 mL" in words
    assert "sharp" in words
    assert indicator_rows(found)[0].fits == "yes"
    assert len(indicator_rows(found)) == 6
    boric = " ".join(curve_sentences(_curve(substance="boric acid")))
    assert "No indicator" in boric
    redox = " ".join(curve_sentences(_curve("iodometry", "iodine")))
    assert "no curve" in redox


@pytest.mark.parametrize(
    ("method", "substance"),
    [
        ("acid by alkali", "phosphoric acid"),
        ("alkali by acid", "borax"),
        ("halide by silver", "sodium chloride"),
        ("iodometry", "iodine"),
    ],
)
def test_the_picture_draws(method, substance):
    import vl_convert

    found = _curve(method, substance)
    spec = titration_chart(found)
    svg = vl_convert.vegalite_to_svg(spec)
    assert svg.startswith("<svg")
    assert substance in svg
    assert spec["description"] == describe(found)
    if found.volumes:
        (line,) = [x for x in spec["layer"] if x["mark"].get("type") == "line"]
        assert len(line["data"]["values"]) == len(found.volumes)
        assert f"{found.equivalences[-1].volume * 1e6:.2f} mL" in svg
