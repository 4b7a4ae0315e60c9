"""The working of numbers as a page for the terminal."""

from __future__ import annotations

import textwrap

from firstcrop.cli.lines import Line, columns, heading, line, wrapped
from firstcrop.views.working import TermRow, WorkingRow


def working_page(rows: tuple[WorkingRow, ...], title: str, width: int) -> list[Line]:
    """Every number with its terms, one below the other, and what they add up to."""
    page = wrapped(title, width, style="bold")
    for row in rows:
        page += _working(row, width)
    return page


def _working(row: WorkingRow, width: int) -> list[Line]:
    page = heading(f"{row.name}: {row.result.full}", width)
    if row.how:
        law = f"; law: {row.law}" if row.law else ""
        source = f" [{row.source}]" if row.source else ""
        page += wrapped(f"{row.how}{law}{source}", width, 2, "dim")
    page += _terms(row.terms, row.total, width)
    for note in row.notes:
        page += wrapped(note, width, 2, "yellow", "! ")
    if row.influences:
        page += wrapped("The band comes from", width, 2, "dim")
    for label, shifts in row.influences:
        page += wrapped(f"{label}: {shifts}", width, 4)
    return page


def _terms(terms: tuple[TermRow, ...], total: str, width: int) -> list[Line]:
    if not terms:
        return []
    values = max(len(term.value) for term in terms)
    labels = min(max(len(term.label) for term in terms), max(width - values - 8, 20))
    page: list[Line] = []
    for term in terms:
        first, *rest = textwrap.wrap(term.label, labels) or [""]
        page.append(columns((first, term.value.rjust(values)), (labels, values), 4))
        page += [line(f"      {more}") for more in rest]
        page += wrapped(term.note, width, 8, "dim") if term.note else []
        for datum in term.data:
            page += wrapped(datum, width, 8, "dim", "· ")
    if total:
        page.append(line(" " * 4 + "─" * (labels + values + 2), "dim"))
        page.append(line(f"    {total}", "bold"))
    return page
