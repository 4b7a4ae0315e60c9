"""The working of numbers as a page for the terminal."""

from __future__ import annotations

from firstcrop.cli.lines import Line, columns, heading, line, widest, wrapped
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
        law = f", by the {row.law}" if row.law else ""
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
    room = max(width // 2, 24)
    cells = [(term.label[:room], term.value) for term in terms]
    widths = widest(cells)
    page: list[Line] = []
    for term, (label, value) in zip(terms, cells, strict=True):
        page.append(columns((label, value.rjust(widths[1])), widths, 4))
        page += wrapped(term.note, width, 8, "dim") if term.note else []
        for datum in term.data:
            page += wrapped(datum, width, 8, "dim", "· ")
    if total:
        page.append(line(" " * 4 + "─" * (sum(widths) + 2), "dim"))
        page.append(line(f"    {total}", "bold"))
    return page
