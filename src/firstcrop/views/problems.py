"""Problems as rows: the line as written, a caret under the word, and what to write instead."""

from __future__ import annotations

from collections.abc import Sequence

from firstcrop.problems import Place, Problem, Severity
from firstcrop.views.rows import ProblemRow

EXCERPT = 72  # columns of a source line shown; longer lines are cut around the caret
ORDER = (Severity.ERROR, Severity.WARNING, Severity.NOTE)


def problem_rows(problems: Sequence[Problem], lines: Sequence[str]) -> tuple[ProblemRow, ...]:
    """One row a problem, in order."""
    return tuple(problem_row(problem, lines) for problem in in_order(problems))


def in_order(problems: Sequence[Problem]) -> list[Problem]:
    """Problems in line order, gravest first on a line; said once when said twice."""
    unique = dict.fromkeys(problems)
    return sorted(unique, key=lambda p: (p.line, ORDER.index(p.severity), p.code))


def problem_row(problem: Problem, lines: Sequence[str]) -> ProblemRow:
    """One problem; `lines` are the sheet's lines for the excerpt."""
    excerpts = [line for place in problem.places for line in excerpt(place, lines)]
    return ProblemRow(
        code=problem.code,
        severity=problem.severity.value,
        where=where(problem.places),
        message=clean(problem.message),
        excerpt=tuple(excerpts),
        hint=clean(problem.hint),
        line=problem.line,
    )


def where(places: Sequence[Place]) -> str:
    """ "line 7, column 12"; a row of the bank is named by its file."""
    named = [_where(place) for place in places if place.line > 0]
    return " and ".join(dict.fromkeys(named))


def _where(place: Place) -> str:
    if place.file.endswith(".tsv"):
        return f"bank/{place.file}:{place.line}"
    return f"line {place.line}, column {place.column}"


def excerpt(place: Place, lines: Sequence[str]) -> tuple[str, ...]:
    """The source line and a caret line under it; nothing for a place outside the sheet."""
    if place.file.endswith(".tsv") or not 1 <= place.line <= len(lines):
        return ()
    line = clean(lines[place.line - 1])
    start = max(place.column - 1, 0)
    shift = _shift(len(line), start)
    cut = line[shift : shift + EXCERPT]
    lead = "…" if shift else ""
    tail = "…" if shift + EXCERPT < len(line) else ""
    room = max(len(cut) - (start - shift), 1)
    carets = "^" * min(max(place.length, 1), room)
    label = f"{place.line:>4} | "
    pad = " " * (len(lead) + start - shift)
    return (f"{label}{lead}{cut}{tail}", f"     | {pad}{carets}")


def _shift(length: int, start: int) -> int:
    if length <= EXCERPT:
        return 0
    return max(0, min(start - EXCERPT // 3, length - EXCERPT))


def clean(text: str) -> str:
    """Text safe to print: control characters (a terminal would obey them) become a mark."""
    return "".join(c if c.isprintable() else " " if c in "\t\n" else "\ufffd" for c in text)
