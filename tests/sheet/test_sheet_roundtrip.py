"""Printing and reading are twins: equal records, the same text up to spacing."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from firstcrop.problems import Severity
from firstcrop.sheet.clauses import read_step
from firstcrop.sheet.page import Passage
from firstcrop.sheet.read import read_sheet
from firstcrop.sheet.records import Clause, Preparation
from firstcrop.sheet.write import write_sheet
from firstcrop.sheet.write_clause import write_clause
from sheet.sheet_strategies import NAMES, clauses, preparations

ROOT = Path(__file__).parents[2]
SHEETS = sorted([*(ROOT / "sheets").glob("*.md"), *(ROOT / "tests" / "cases").glob("*.md")])
FORGIVEN = {
    *("what-missing", "target-missing", "limits-contradict", "blanks-compete"),
    *("name-near", "name-unknown"),
}


def flat(text: str) -> str:
    return " ".join(text.split())


def differences(one: object, other: object) -> list[str]:
    return [
        f"{f.name}: {getattr(one, f.name)!r} != {getattr(other, f.name)!r}"
        for f in fields(one)  # type: ignore[arg-type]
        if f.compare and getattr(one, f.name) != getattr(other, f.name)
    ]


@given(clauses())
@settings(max_examples=400, deadline=None)
def test_a_clause_is_read_as_it_was_printed(clause: Clause) -> None:
    text = write_clause(clause)
    again, problems = read_step(Passage(text), NAMES)
    assert len(again) == 1, (text, again, problems)
    assert again[0] == clause, (text, differences(clause, again[0]))
    assert {p.code for p in problems} <= FORGIVEN, text


@given(preparations())
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_a_preparation_is_read_as_it_was_printed(preparation: Preparation) -> None:
    text = write_sheet(preparation)
    reading = read_sheet(text)
    assert reading.preparation == preparation, differences(preparation, reading.preparation)
    assert write_sheet(reading.preparation) == text
    assert {p.code for p in reading.problems} <= FORGIVEN


@pytest.mark.parametrize("path", SHEETS, ids=lambda p: p.stem)
def test_a_written_sheet_keeps_its_records_and_its_text(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    reading = read_sheet(text, path.name)
    assert not [p for p in reading.problems if p.severity is Severity.ERROR]
    printed = write_sheet(reading.preparation)
    assert read_sheet(printed).preparation == reading.preparation
    assert flat(printed) == flat(text)


def test_steps_without_text_are_printed_from_their_clauses() -> None:
    from dataclasses import replace

    reading = read_sheet((ROOT / "sheets" / "hardening-alum.md").read_text(encoding="utf-8"))
    bare = tuple(replace(s, text="") for s in reading.preparation.steps)
    again = read_sheet(write_sheet(replace(reading.preparation, steps=bare))).preparation
    assert [s.clauses for s in again.steps] == [s.clauses for s in reading.preparation.steps]
