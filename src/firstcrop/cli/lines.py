"""Lines of styled spans: how the terminal pages are put together, without a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from firstcrop.views.problems import clean

Span = tuple[str, str]  # text, style
Line = tuple[Span, ...]

BLANK: Line = ()
LEAST = 40  # columns below which wrapping gives up


def line(text: str, style: str = "") -> Line:
    """One line of one style; control characters a terminal would obey are marked."""
    return ((clean(text), style),)


def wrapped(text: str, width: int, indent: int = 0, style: str = "", lead: str = "") -> list[Line]:
    """Prose broken at `width`; `lead` hangs before the first line, the rest aligns after it."""
    first = " " * indent + lead
    rest = " " * len(first)
    room = max(width, LEAST)
    parts = textwrap.wrap(
        text, room, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )
    return [line(part, style) for part in parts or [first.rstrip()]]


def heading(text: str, width: int) -> list[Line]:
    """A section heading with a rule after it."""
    rule = "─" * max(width - len(text) - 1, 0)
    return [BLANK, ((clean(text), "bold"), (f" {rule}", "dim"))]


def columns(cells: Sequence[str], widths: Sequence[int], indent: int, style: str = "") -> Line:
    """Cells padded to widths; no blanks at the end."""
    padded = "  ".join(cell.ljust(width) for cell, width in zip(cells, widths, strict=True))
    return line((" " * indent + padded).rstrip(), style)


def widest(rows: Iterable[Sequence[str]]) -> list[int]:
    """The width of each column over all rows."""
    return [max(map(len, column)) for column in zip(*rows, strict=True)]


def plain(lines: Iterable[Line]) -> str:
    """The page as plain text."""
    return "\n".join("".join(text for text, _ in spans) for spans in lines)


def show(lines: Iterable[Line], width: int | None) -> None:
    """Print a page on standard output, in colour where the terminal takes it (NO_COLOR kept)."""
    from rich.console import Console
    from rich.text import Text

    page = list(lines)
    console = Console(highlight=False, markup=False, emoji=False, width=width, soft_wrap=True)
    if not console.is_terminal or console.no_color:
        console.file.write(plain(page) + "\n")
        return
    for spans in page:
        console.print(Text.assemble(*((t, s) for t, s in spans)) if spans else "")


def width_of(wanted: int | None) -> int:
    """Columns to lay out for: as wanted, else the terminal's, else 80; between 40 and 160."""
    import shutil

    return min(max(wanted or shutil.get_terminal_size((80, 24)).columns, LEAST), 160)
