"""The table of fragments: what must raise a given caution, and what must not. None may be missed.

Each fragment is judged from the sheet alone, with no forecast, so that a caution holds where no
number does. A wrong silence is the worst mistake this program can make.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from firstcrop.cautions.all import assess
from firstcrop.forecast.records import Forecast
from firstcrop.sheet.read import read_sheet
from firstcrop.sheet.records import Preparation

from .sheets import BANK

GRADES = ("none", "note", "warning", "error")
FOLDER = Path(__file__).parent / "table"


def rows(name: str) -> list[list[str]]:
    lines = (FOLDER / f"{name}.tsv").read_text(encoding="utf-8").splitlines()
    return [line.split("\t") for line in lines if line and not line.startswith("#")][1:]


def fragment(steps: str, materials: str, reactions: str, vessel: str) -> Preparation:
    """A sheet of one row of the table; its steps must be understood."""
    reading = read_sheet(written(steps, materials, reactions, vessel))
    assert not [p for p in reading.problems if "step" in p.code], reading.problems
    assert all(step.clauses for step in reading.preparation.steps)
    return reading.preparation


def written(steps: str, materials: str, reactions: str, vessel: str) -> str:
    """The sheet of one row as a user would write it."""
    table = []
    for text in (part.strip() for part in materials.split(";") if part.strip()):
        name, _, rest = text.partition(" = ")
        substance, _, strength = rest.partition(" @ ")
        table.append(f"| {name} | {substance or name} | {strength} | |")
    numbered = [f"{n}. {line.strip()}" for n, line in enumerate(steps.split(" / "), 1)]
    equations = [f"- {text.strip()}" for text in reactions.split(" / ") if text.strip()]
    declared = ["", "## Reactions", "", *equations] if equations else []
    return "\n".join(
        ["# Try", "", "## Materials", "", "| name | substance | strength | notes |",
         "|---|---|---|---|", *table, *declared, "", "## Vessels", "",
         f"- beaker: {vessel or '1 L low-form beaker'}", "- flask: 250 mL conical flask", "",
         "## Steps", "", *numbered, ""]
    )  # fmt: skip


def worst(row: list[str]) -> int:
    """The gravest severity of the cautions whose code begins as the row says."""
    _, steps, materials, reactions, vessel, code, _ = row
    prep = fragment(steps, materials, reactions, vessel)
    found = [c for c in assess(Forecast(prep), BANK)[0] if c.code.startswith(code)]
    return max((GRADES.index(c.severity.value) for c in found), default=0)


RAISE, SILENT = rows("raise"), rows("silent")


def test_the_table_is_large_enough() -> None:
    assert len(RAISE) >= 30
    assert len(SILENT) >= 30


@pytest.mark.parametrize("row", RAISE, ids=[row[0] for row in RAISE])
def test_it_is_raised(row: list[str]) -> None:
    assert worst(row) >= GRADES.index(row[-1])


@pytest.mark.parametrize("row", SILENT, ids=[row[0] for row in SILENT])
def test_it_is_not_raised(row: list[str]) -> None:
    assert worst(row) <= GRADES.index(row[-1])
