"""docs/language.md: its examples are read, and it names everything the language has."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from firstcrop.problems import Severity
from firstcrop.sheet.fields import load_fields
from firstcrop.sheet.read import read_sheet
from firstcrop.sheet.records import Verb
from firstcrop.sheet.write_clause import write_clauses

PAGE = (Path(__file__).parents[2] / "docs" / "language.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```(\w+)\n(.*?)```", PAGE, re.DOTALL)
HEAD = """# Example

## Materials

| name | substance | strength |
|---|---|---|
| caustic potash | potassium hydroxide | 85 % w/w |
| dilute acid | sulfuric acid | 30 % w/w |
| wash | ethanol | 50 % v/v |

## Vessels

- beaker: 400 mL low-form beaker

"""
STEPS = "## Steps\n\n1. Stir for 5 min.\n2. Stir for 5 min.\n"
SECTIONS = {"reactions": "Reactions", "observed": "Observed", "steps": "Steps", "wrong": "Steps"}


def sheet_of(kind: str, text: str) -> str:
    if kind == "sheet":
        return text
    rest = "" if SECTIONS[kind] == "Steps" else STEPS
    return f"{HEAD}{rest}\n## {SECTIONS[kind]}\n\n{text}"


@pytest.mark.parametrize(
    ("kind", "text"), BLOCKS, ids=[f"{k}-{i}" for i, (k, _) in enumerate(BLOCKS)]
)
def test_an_example_is_read(kind: str, text: str) -> None:
    reading = read_sheet(sheet_of(kind, text))
    wrong = [p for p in reading.problems if p.severity is not Severity.NOTE]
    if kind == "wrong":
        at = sheet_of(kind, text).split("\n")
        assert [at[p.line - 1][:2] for p in wrong] == ["1.", "2.", "3.", "4."]
    else:
        assert wrong == []


def test_the_first_example_is_what_it_says() -> None:
    sheet = read_sheet(BLOCKS[0][1]).preparation
    assert (sheet.target, sheet.target_formula) == ("malachite", "Cu2CO3(OH)2")
    assert [m.name for m in sheet.materials] == ["blue vitriol", "washing soda"]
    assert [v.closed for v in sheet.vessels] == [False, True]
    assert sheet.steps[1].notes == ("It foams: leave room in the beaker.",)
    assert write_clauses(sheet.steps[3].clauses) == (
        "Filter, keeping the crystals. Wash with 3 x 20 mL of water."
    )
    assert [o.subject for o in sheet.observed] == ["after step", "crop"]


def test_every_verb_stands_in_the_table() -> None:
    for verb in Verb:
        assert f"\n| {verb.value} | " in PAGE


@pytest.mark.parametrize("field", load_fields(), ids=lambda f: f"{f.group}-{f.name}")
def test_every_name_a_sheet_may_use_is_on_the_page(field: object) -> None:
    assert field.wordings[0].lower() in PAGE.lower()  # type: ignore[attr-defined]


def test_every_phrase_of_the_table_is_understood() -> None:
    table = PAGE.split("### Phrases")[1].split("\n\n")[1]
    wordings = [w.strip() for row in table.split("\n")[2:] for w in row.split("|")[2].split(";")]
    steps = [
        f"{n}. Hold {re.sub(r' [(].*[)]', '', wording)}."
        for n, wording in enumerate(wordings, 1)
        if "before a name" not in wording
    ]
    assert len(steps) > 50
    problems = read_sheet(sheet_of("steps", "\n".join(steps))).problems
    assert [p.message for p in problems] == []
