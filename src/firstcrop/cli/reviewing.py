"""`firstcrop review`: the safety review of a sheet."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from firstcrop.cli.lines import Line
    from firstcrop.views.review import Entry, ReviewRows


@click.command()
@click.argument("sheet")
@click.option("--width", type=click.IntRange(40, 400), help="Columns to lay out for.")
def review(sheet: str, width: int | None) -> int:
    """Review the safety of SHEET.md: cautions, labels, and what was not assessed."""
    from firstcrop.bank.bank import load_bank
    from firstcrop.cli import asking, lines
    from firstcrop.run import review_forecast
    from firstcrop.views.review import review_rows

    told = asking.forecast_of(sheet)
    rows = review_rows(review_forecast(told, load_bank()))
    columns = lines.width_of(width)
    lines.show(review_page(rows, columns), columns)
    if told.problems:
        asking.complain(*told.problems, lines=told.preparation.source_lines)
    return asking.exit_of(told)


def review_page(rows: ReviewRows, width: int) -> list[Line]:
    """Sections one below the other; the refusal alone when there is one."""
    from firstcrop.cli.lines import heading, wrapped

    if rows.refused:
        return wrapped(rows.refused, width)
    page: list[Line] = []
    for section in rows.sections:
        page += heading(section.title, width)
        page += entries_page(section.entries, width)
    return page


def entries_page(entries: tuple[Entry, ...], width: int) -> list[Line]:
    """Entries one below the other."""
    from firstcrop.cli.lines import wrapped
    from firstcrop.cli.pages import style_of

    page: list[Line] = []
    for entry in entries:
        page += wrapped(entry.head, width, 2, style_of(entry.severity))
        for text in entry.lines:
            page += wrapped(text, width, 6)
    return page
