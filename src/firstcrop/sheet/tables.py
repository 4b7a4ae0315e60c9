"""The table sections: `## Materials` and `## Substances`."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from types import MappingProxyType

from firstcrop.problems import Place, Problem
from firstcrop.quantity.read import read_strength
from firstcrop.quantity.records import Kind, Quantity, Strength
from firstcrop.sheet.fields import Field, fields_of, find_field, near_field
from firstcrop.sheet.measures import take
from firstcrop.sheet.mistakes import mistake
from firstcrop.sheet.names import baskets, fold
from firstcrop.sheet.page import Block, Passage
from firstcrop.sheet.records import Material, SubstanceRow

_REQUIRED = ("name", "substance")
_REMEDIES = MappingProxyType(
    {
        "name": "write the word the steps use for it",
        "substance": "write what it is, for example: potassium hydroxide",
    }
)


def read_materials(
    block: Block, problems: list[Problem]
) -> tuple[tuple[str, ...], tuple[Material, ...]]:
    """The columns as written and one Material for each row that names one."""
    header, rows = block.rows[0], block.rows[1:]
    columns = _columns(header, problems)
    missing = [c for c in _REQUIRED if c not in columns]
    usual = " | ".join(f.name for f in fields_of("column"))
    for name in missing:
        where = _row_place(header)
        section = "Materials"
        problems.append(mistake("column-missing", where, section=section, text=name, columns=usual))
    if missing:
        return tuple(h.text for h in header), ()
    found = (_material(columns, row, problems) for row in rows)
    return tuple(h.text for h in header), tuple(m for m in found if m is not None)


def _columns(header: tuple[Passage, ...], problems: list[Problem]) -> tuple[str, ...]:
    names: list[str] = []
    for cell in header:
        known: Field | None = find_field("column", cell.plain().strip())
        if known is None:
            near = near_field("column", cell.text)
            usual = ", ".join(f.name for f in fields_of("column"))
            hint = f"did you mean {near}?" if near else f"its columns are: {usual}"
            problems.append(
                mistake(
                    "column-unknown", cell.place(), section="Materials", text=cell.text, near=hint
                )
            )
        elif known.name in names:
            problems.append(mistake("column-twice", cell.place(), text=cell.text))
        names.append(known.name if known else "")
    return tuple(names)


def _row_place(row: tuple[Passage, ...]) -> Place:
    first, last = row[0].place(), row[-1].place()
    return Place(first.line, first.column, last.column + last.length - first.column, first.file)


def _material(
    columns: tuple[str, ...], row: tuple[Passage, ...], problems: list[Problem]
) -> Material | None:
    _too_long(row, len(columns), problems)
    cells = dict(zip(columns, row, strict=False))
    if not any(c.text for c in row):
        return None
    for name in _REQUIRED:
        if not cells.get(name) or not cells[name].plain().strip():
            place = cells[name].place() if name in cells else _row_place(row)
            problems.append(mistake("cell-empty", place, column=name, remedy=_REMEDIES[name]))
            return None
    name, substance = (" ".join(cells[c].plain().split()) for c in _REQUIRED)
    text = cells["strength"].text if "strength" in cells else ""
    where = cells["strength"].place() if text else _row_place(row)
    strength = _strength(text, where) if text and "?" not in text else None
    if "?" in text:
        problems.append(mistake("strength-blank", where))
    if isinstance(strength, Problem):
        why = _sentence(strength.message)
        problems.append(mistake("strength-unclear", where, text=text, why=why))
        strength = None
    notes = cells["notes"].text if "notes" in cells else ""
    bottle = " ".join(cells["bottle"].plain().split()) if "bottle" in cells else ""
    stands = cells["bottle"].place() if bottle else where
    place = cells["name"].place()
    held = _in_hand(cells["amount"], problems) if "amount" in cells else None
    return Material(name, substance, strength, notes, text, place, where, bottle, stands, held)


def _in_hand(cell: Passage, problems: list[Problem]) -> Quantity | None:
    """The cell of the column `amount`: a mass, a volume or mol; None, reported, when it is none."""
    text = cell.text.strip()
    if not text:
        return None
    quantity = take("amount", text)
    if quantity is None or quantity.kind is Kind.EQUIVALENTS:
        problems.append(mistake("amount-in-hand", cell.place(), text=text))
        return None
    return quantity


@lru_cache(maxsize=512)
def _strength(text: str, place: Place) -> Strength | Problem:
    return read_strength(text, place)


def _sentence(message: str) -> str:
    return message.strip().rstrip(".")


def _too_long(row: tuple[Passage, ...], columns: int, problems: list[Problem]) -> None:
    if len(row) > columns:
        place = row[columns].place()
        problems.append(mistake("row-long", place, count=len(row), columns=columns))


def read_substances(block: Block, problems: list[Problem]) -> tuple[SubstanceRow, ...]:
    """One SubstanceRow a row: every cell with its heading. A name and a source are required."""
    header, rows = block.rows[0], block.rows[1:]
    headings = tuple(" ".join(h.plain().split()) for h in header)
    low = tuple(h.lower() for h in headings)
    for i, heading in enumerate(low):
        if heading in low[:i]:
            problems.append(mistake("column-twice", header[i].place(), text=headings[i]))
    missing = [c for c in ("name", "source") if c not in low]
    for name in missing:
        columns = "name | formula | ... | source"
        where = _row_place(header)
        problems.append(
            mistake("column-missing", where, section="Substances", text=name, columns=columns)
        )
    if missing:
        return ()
    return tuple(_substance_rows(headings, rows, problems))


def _substance_rows(
    headings: tuple[str, ...], rows: tuple[tuple[Passage, ...], ...], problems: list[Problem]
) -> Iterator[SubstanceRow]:
    low = [h.lower() for h in headings]
    for row in rows:
        _too_long(row, len(headings), problems)
        texts = [c.text for c in row] + [""] * (len(headings) - len(row))
        if not any(texts):
            continue
        name, source = texts[low.index("name")], texts[low.index("source")]
        if not name:
            remedy = "write the name the sheet uses for it"
            problems.append(mistake("cell-empty", _row_place(row), column="name", remedy=remedy))
            continue
        if not source:
            remedy = "say where its numbers come from"
            problems.append(mistake("cell-empty", _row_place(row), column="source", remedy=remedy))
        yield SubstanceRow(name, tuple(zip(headings, texts, strict=False)), _row_place(row))


def check_names(what: str, named: tuple[tuple[str, Place], ...], problems: list[Problem]) -> None:
    """Report names declared twice and names that mean what is in the vessel."""
    seen: dict[str, Place] = {}
    for name, place in named:
        key = fold(name).lower()
        if key in seen:
            problems.append(
                mistake("name-twice", (place, seen[key]), what=what, text=name, line=seen[key].line)
            )
        elif key in baskets():
            problems.append(mistake("name-reserved", place, what=what, text=name))
        seen.setdefault(key, place)
