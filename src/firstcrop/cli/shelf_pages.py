"""The shelf on the terminal: rich tables, plain when the output is a file."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from firstcrop.cli.lines import width_of
from firstcrop.views.problems import clean
from firstcrop.views.shelf import AssayRow, BottleRow, DrawRow

if TYPE_CHECKING:
    from rich.console import RenderableType

Page = list["RenderableType"]
TITRATE = "titrate before use"


def print_page(page: Page) -> None:
    """Print tables and lines on standard output."""
    from rich.console import Console

    console = Console(highlight=False, markup=False, emoji=False, width=width_of(None))
    for part in page:
        console.print(part)


def table(headings: Sequence[str], rows: Iterable[Sequence[str]], title: str = "") -> Page:
    """A table; nothing at all without rows."""
    from rich import box
    from rich.table import Table

    made = Table(*headings, box=box.SIMPLE_HEAD, title=title or None, title_justify="left",
                 pad_edge=False)  # fmt: skip
    for row in rows:
        made.add_row(*(clean(cell) for cell in row))
    return [made] if made.row_count else []


def bottles_page(rows: Sequence[BottleRow]) -> Page:
    """Every bottle, one a line."""
    if not rows:
        return ["The shelf is empty. Put a bottle on it: firstcrop shelf add"]
    shown = [
        (r.name, r.product, r.today + (f"\n{TITRATE}" if r.titrate else ""),
         f"{r.left}{' (nearly empty)' if r.low else ''}", r.stored, r.price)
        for r in rows
    ]  # fmt: skip
    page = table(("bottle", "product", "strength today", "left", "stored", "price"), shown)
    under_law = [r.name for r in rows if r.law]
    if under_law:
        page.append(f"Under a rule of law: {', '.join(under_law)} (see: firstcrop shelf show).")
    return page


def bottle_page(row: BottleRow, drawn: Sequence[DrawRow], assayed: Sequence[AssayRow]) -> Page:
    """One bottle in full."""
    facts = [
        ("product", row.product), ("substance", row.substance), ("label claims", row.claim),
        ("strength today", row.today + (f"; {TITRATE}" if row.titrate else "")),
        ("known from", row.how), ("left", f"{row.left} of {row.size}"), ("lot", row.lot),
        ("price", row.price), ("made", row.made), ("bought", row.bought), ("opened", row.opened),
        ("stored", row.stored), ("hazards", "\n".join(row.warnings)), ("notes", row.notes),
    ]  # fmt: skip
    page = table(("bottle", row.name), [(a, b) for a, b in facts if b])
    page += [*row.law]
    shown = ((d.at, d.who, d.amount, d.sheet, d.notes) for d in drawn)
    page += table(("drawn", "by", "amount", "for", "notes"), shown)
    found = ((a.at, a.who, a.method, a.strength, a.notes) for a in assayed)
    return page + table(("assayed", "by", "method", "strength", "notes"), found)


def age_page(name: str, how: str, rows: Sequence[tuple[str, str, bool]]) -> Page:
    """The strength over the coming year."""
    shown = [(day, strength, TITRATE if titrate else "") for day, strength, titrate in rows]
    return [f"{name}: {how}", *table(("on", "strength", ""), shown)]
