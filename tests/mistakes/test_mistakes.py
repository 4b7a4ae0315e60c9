"""Wrong lines and the exact problems each must get: lines.tsv, whole_sheets.tsv.

A row of lines.tsv puts its text into one place of template.md; rows with the same text list all
the problems it gets, and it must get no others. In whole_sheets.tsv `\\n` stands for a line end.
"""

from __future__ import annotations

import ast
from collections import defaultdict
from pathlib import Path

import pytest

from firstcrop.problems import Problem
from firstcrop.sheet.decode import decode
from firstcrop.sheet.mistakes import load_mistakes
from firstcrop.sheet.read import read_sheet

HERE = Path(__file__).parent
SOURCE = HERE.parents[1] / "src" / "firstcrop" / "sheet"
PLACES = ("material", "reaction", "vessel", "condition", "step", "observed")
PLAIN = {"step": "Stir for 5 min."}


def template(where: str, text: str) -> str:
    """The template sheet with `text` at its place and nothing wrong elsewhere."""
    sheet = (HERE / "template.md").read_text(encoding="utf-8")
    for place in PLACES:
        fill = text if place == where else PLAIN.get(place, "")
        mark = f"@{place}" if fill or place in PLAIN else f"@{place}\n"
        sheet = sheet.replace(mark, fill)
    return sheet


def rows(name: str) -> dict[tuple[str, str], list[tuple[str, ...]]]:
    """(where, text) -> the problems it must get."""
    found: dict[tuple[str, str], list[tuple[str, ...]]] = defaultdict(list)
    for line in (HERE / name).read_text(encoding="utf-8").splitlines():
        if line and not line.startswith("#"):
            where, text, *problem = line.split("\t")
            found[where, text].append(tuple(problem))
    return found


def shown(problem: Problem) -> tuple[str, ...]:
    """A problem as the tables write it."""
    place = problem.places[0]
    line, column = str(place.line), str(place.column)
    return (problem.code, problem.severity.value, line, column, problem.message, problem.hint)


LINES, SHEETS = rows("lines.tsv"), rows("whole_sheets.tsv")


@pytest.mark.parametrize(("where", "text"), LINES, ids=[t[:50] for _, t in LINES])
def test_a_wrong_line_gets_its_message(where: str, text: str) -> None:
    problems = read_sheet(template(where, text)).problems
    assert [shown(p) for p in problems] == LINES[where, text]


@pytest.mark.parametrize(("where", "text"), SHEETS, ids=[w for w, _ in SHEETS])
def test_a_wrong_sheet_gets_its_messages(where: str, text: str) -> None:
    problems = read_sheet(text.replace("\\n", "\n")).problems
    assert [shown(p) for p in problems] == SHEETS[where, text]


def test_bytes_that_are_no_text() -> None:
    problem = decode(b"# Alum\n\nMakes \xe9tain.\n", "alum.md")
    assert isinstance(problem, Problem)
    assert (problem.code, problem.places[0].line, problem.places[0].column) == ("not-utf8", 3, 7)
    assert problem.message == "the file is not UTF-8 text: byte 0xE9 at position 14"


def test_a_text_too_big_is_refused() -> None:
    (problem,) = read_sheet("x" * 200_001).problems
    assert problem.code == "too-big"
    assert problem.message == "the text has 200001 characters; a sheet may have 200000"


def test_a_line_too_long_is_refused() -> None:
    (problem,) = read_sheet("# A\n\n" + "x" * 4001).problems
    assert (problem.code, problem.line) == ("line-too-long", 3)


def test_the_template_is_right() -> None:
    assert read_sheet(template("step", PLAIN["step"])).problems == ()


def test_there_are_enough_samples() -> None:
    assert len(LINES) + len(SHEETS) >= 60


OTHERWISE = {"not-utf8", "too-big", "line-too-long"}  # the tests above


def test_every_problem_has_a_sample() -> None:
    listed = (p for table in (LINES, SHEETS) for problems in table.values() for p in problems)
    assert {p[0] for p in listed} | OTHERWISE == set(load_mistakes())


def test_every_problem_in_the_table_is_reported_somewhere() -> None:
    """The codes the package names are those of mistakes.tsv."""
    named = set()
    for path in SOURCE.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and node.value in load_mistakes():
                named.add(node.value)
    assert named == set(load_mistakes())
