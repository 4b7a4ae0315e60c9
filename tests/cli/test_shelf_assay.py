"""`firstcrop shelf assay` from the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from firstcrop.cli.entry import run
from firstcrop.cli.exits import Exit

CASES = Path(__file__).parents[1] / "published" / "assays"
BLEACH = str(CASES / "bleach-by-iodometry.md")


def test_a_file_of_readings_becomes_a_strength(capsys):
    assert run(["shelf", "assay", "compute", BLEACH]) == 0
    told = capsys.readouterr()
    assert "sodium hypochlorite: 2.87" in told.out
    assert "budget" in told.out
    assert "Improve first" in told.out
    assert "One replicate only" in told.err


def test_the_sources_in_full(capsys):
    assert run(["shelf", "assay", "compute", BLEACH, "--full"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "Guide to the expression of uncertainty" in told
    assert "ISO 648" in told


def test_as_json(capsys):
    assert run(["shelf", "assay", "compute", BLEACH, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["value"] == pytest.approx(0.0287, abs=5e-5)
    assert found["budget"]


def test_bad_readings_point_at_their_line(tmp_path, capsys):
    file = tmp_path / "bad.md"
    text = Path(BLEACH).read_text(encoding="utf-8").replace("35.50 mL", "-35.50 mL")
    file.write_text(text, encoding="utf-8")
    assert run(["shelf", "assay", "compute", str(file)]) == 1
    told = capsys.readouterr().err
    assert "cannot be negative" in told
    assert "^" in told
    assert file.read_text(encoding="utf-8") == text
    assert run(["shelf", "assay", "compute", str(tmp_path / "none.md")]) == 2


def test_a_plan_with_its_picture(tmp_path, capsys):
    picture = tmp_path / "curve.svg"
    command = ["shelf", "assay", "plan", "acid by alkali", "acetic acid", "5 ± 0.3 % w/w"]
    assert run([*command, "--plot", str(picture)]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "of the burette" in told
    assert "phenolphthalein" in told
    assert picture.read_text(encoding="utf-8").startswith("<svg")
    assert run([*command, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["curve"]["scale"] == "pH"
    assert 0.6 <= found["plan"]["titre"][1] / found["plan"]["burette"] <= 0.9
    assert run([*command, "--plot", str(tmp_path / "curve.bmp")]) == 2
    assert run([*command, "--burette", "bucket"]) == 1
    assert run([*command, "--titrant", "weak"]) == 1
    assert run([*command, "--titrant", "5 % w/w"]) == 1
    assert run([*command, "--density", "5 mL"]) == 1


def test_the_form_and_the_list_of_methods(capsys):
    assert run(["shelf", "assay", "form", "Volhard"]) == 0
    assert "| back titrant |" in capsys.readouterr().out
    assert run(["shelf", "assay", "form", "tasting"]) == 1
    assert run(["shelf", "assay", "methods"]) == 0
    assert "potassium alum" in " ".join(capsys.readouterr().out.split())


SHEET = """# Battery acid, thinned

## Materials

| name | substance | strength | bottle |
|---|---|---|---|
| acid | sulfuric acid | | battery acid |

## Vessels

- beaker: 250 mL low-form beaker

## Steps

1. Put 100 mL of water in the beaker.
2. Add 50 mL of acid over 10 min.
"""
HYDROMETER = """method\tdensity
substance\tsulfuric acid
density\t1.280; 1.281; 1.280 g/mL\thydrometer 0.001 g/mL
temperature\t20 °C\tthermometer 0.2 °C
"""


def test_a_sheet_narrows_after_an_assay(tmp_path, capsys):
    """Invented: battery acid of the shop, its density read with a hydrometer."""
    shelf = ["shelf", "--folder", str(tmp_path)]
    sheet, readings = tmp_path / "thin.md", tmp_path / "readings.tsv"
    sheet.write_text(SHEET, encoding="utf-8")
    readings.write_text(HYDROMETER, encoding="utf-8")
    assert run([*shelf, "add", "battery acid", "battery acid", "--strength", "37 ± 4 % w/w",
                "--size", "1 L"]) == 0  # fmt: skip
    before = _band(sheet, capsys)
    keep = ["assay", "compute", str(readings), "--who", "the studio", "--for"]
    assert run([*shelf, *keep, "battery acid"]) == 0
    assert "Kept with the bottle" in capsys.readouterr().out
    after = _band(sheet, capsys)
    assert after < 0.2 * before
    assert run([*shelf, *keep, "vinegar"]) == 1
    assert "no bottle" in capsys.readouterr().err
    melted = str(CASES / "naphthalene-melting.md")
    assert run([*shelf, "assay", "compute", melted, "--for", "battery acid"]) == 1


def _band(sheet: Path, capsys) -> float:
    """What the acid's strength leaves open of the peak temperature of the last step, K."""
    capsys.readouterr()
    assert run(["forecast", str(sheet), "--json"]) == 0
    step = json.loads(capsys.readouterr().out)["steps"][-1]
    influences = step["peak_temperature"]["influences"]
    (own,) = [i for i in influences if i["label"] == "strength of acid"]
    return abs(own["up"] - own["down"])


def test_what_is_not_planned_is_not_assayed_either(capsys):
    """A name of the stop list's own tests."""
    asked = ["shelf", "assay", "plan", "acid by alkali", "nitro-glycerin", "5 % w/w"]
    assert run(asked) == Exit.REFUSED
    assert "no substance" not in capsys.readouterr().err
