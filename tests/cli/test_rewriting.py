"""`fill` and `scale` with a forecast made by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from firstcrop.cli import asking, entry, rewriting
from firstcrop.forecast.records import BlankAnswer, Forecast
from firstcrop.sheet.read import read_sheet
from firstcrop.sheet.records import Blank
from firstcrop.sheet.rewrite import clauses
from sample_forecast import ALUM, number, sample

TEXT = """# Alum

Makes potash alum, KAl(SO4)2·12H2O.

## Materials

| name | substance | strength | notes |
|---|---|---|---|
| ring-pulls | aluminium | 97 % w/w, rest inert | |

## Vessels

- beaker: 400 mL low-form beaker

## Steps

1. Put 60 mL of water in the beaker.
2. Add 2.7 g of ring-pulls in ? portions.
3. Filter; keep the crystals.
"""


def forecast(text: str, shelf: object = None, draws: int = 0) -> Forecast:
    """A crop of ten times the aluminium; the fullest moment at 1.1 times the water."""
    sheet = read_sheet(text).preparation
    taken = [c.amount for c in clauses(sheet)]
    metal, water = taken[1].value, taken[0].value
    crop = replace(sample().crops[0], dry_mass=number(10.0 * metal, 1e-4, "kg"), name=ALUM)
    step = replace(sample().steps[0], peak_volume=number(1.1 * water, 1e-6, "m3"))
    blanks = tuple(
        BlankAnswer(c.portions.place, 2, "6 portions", number(6.0, 0.5, "1"), "it boils")
        for c in clauses(sheet) if isinstance(c.portions, Blank)
    )  # fmt: skip
    return Forecast(sheet, steps=(step,), crops=(crop,), blanks=blanks)


@pytest.fixture
def sheet(tmp_path, monkeypatch):
    monkeypatch.setattr(asking, "forecast_text", forecast)
    path = tmp_path / "alum.md"
    path.write_text(TEXT, encoding="utf-8")
    return str(path)


def test_blanks_are_filled(sheet, capsys):
    assert entry.run(["fill", sheet]) == 0
    assert capsys.readouterr().out == TEXT.replace("in ? portions", "in 6 portions")


def test_a_file_is_written_once_and_not_over_another(sheet, tmp_path, capsys):
    target = tmp_path / "filled.md"
    assert entry.run(["fill", sheet, "-o", str(target)]) == 0
    assert "6 portions" in target.read_text(encoding="utf-8")
    assert entry.run(["fill", sheet, "-o", str(target)]) == 2
    assert "exists" in capsys.readouterr().err
    assert entry.run(["fill", sheet, "-o", str(target), "--force"]) == 0


def test_scaling_to_a_product_mass(sheet, capsys):
    assert entry.run(["scale", sheet, "--to", "54 g"]) == 0
    captured = capsys.readouterr()
    assert "Add 5.4 g of ring-pulls in ? portions." in captured.out
    assert "Put 120 mL of water" in captured.out
    assert "- beaker: 800 mL low-form beaker" in captured.out
    assert "Scaled by 2, for 54 g of dry crop." in captured.out
    assert "forecast the scaled sheet" in captured.err


def test_scaling_to_what_is_at_hand(sheet, capsys):
    assert entry.run(["scale", sheet, "--have", "ring-pulls=1.35 g"]) == 0
    out = capsys.readouterr().out
    assert "Put 30 mL of water" in out
    assert "Scaled by 0.5, for 1.35 g of ring-pulls." in out


def test_scaling_to_a_vessel_fills_two_thirds_of_it(sheet, capsys):
    assert entry.run(["scale", sheet, "--vessel", "1 L"]) == 0
    out = capsys.readouterr().out
    assert f"{1000 * 2 / 3 / 1.1:.0f} mL of water" in out
    assert "- beaker: 1 L low-form beaker" in out


@pytest.mark.parametrize(
    ("goal", "words"),
    [
        (["--to", "5 mL"], "is no mass"),
        (["--to", "plenty"], "plenty"),
        (["--vessel", "5 g"], "is no volume"),
        (["--have", "ring-pulls"], "names no amount"),
        (["--have", "gold=5 g"], "no step takes"),
        (["--have", "ring-pulls=5 mL"], "by mass, not by volume"),
        (["--to", "0 g"], "from or to nothing"),
        (["--to", "5000 kg"], "is the amount right"),
    ],
)
def test_impossible_goals_are_problems(sheet, capsys, goal, words):
    assert entry.run(["scale", sheet, *goal]) == 1
    captured = capsys.readouterr()
    assert words in " ".join(captured.err.split())
    assert captured.out == ""


def test_a_refused_sheet_is_not_rewritten(sheet, capsys, monkeypatch):
    refused = Forecast(read_sheet(TEXT).preparation, refused="firstcrop does not plan this.")
    monkeypatch.setattr(asking, "forecast_text", lambda text, shelf=None, draws=0: refused)
    assert entry.run(["scale", sheet, "--to", "5 g"]) == 3
    assert entry.run(["fill", sheet]) == 3
    captured = capsys.readouterr()
    assert captured.out == ""
    assert "does not plan this" in captured.err


def test_vessels_come_in_the_sizes_they_are_made_in():
    assert rewriting.nominal_size("low-form beaker", 401e-6) == pytest.approx(600e-6)
    assert rewriting.nominal_size("low-form beaker", 400e-6) == pytest.approx(400e-6)
    assert rewriting.nominal_size("no such form", 123e-6) == pytest.approx(130e-6)
