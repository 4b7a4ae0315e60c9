"""Read a table of readings: one reading a row, as Markdown, TSV or CSV.

    | reading | value | with |
    |---|---|---|
    | method | acid by alkali | |
    | substance | acetic acid | |
    | sample | 10.00 mL | pipette 10 mL A |
    | titre | 16.70; 16.75; 16.68 mL | burette 50 mL B |

Replicates stand in one cell with `;` between. A ± in the value is the 90 % half-width. The third
column says what it was measured with: a piece of ware, or `limits 0.03 mL [triangular]`,
`u 0.05 mg`, `repeatability 0.02 mL`, `by difference`, with `;` between. Lines that are no rows
are kept as notes. Nothing here raises; every mistake is a Problem with its place.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from types import MappingProxyType

from firstcrop.bank.tables import Row, read_table
from firstcrop.problems import Place, Problem, Severity
from firstcrop.shelf.assay_means import Means, Value, join_units, read_means, read_value

MOST_ROWS = 200
_RULE = re.compile(r"[\s|:\-]+$")


@dataclass(frozen=True, slots=True)
class Reading:
    """One row: values in SI (empty for a text), how they were measured, where it stands."""

    name: str
    kind: str
    values: tuple[Value, ...]
    text: str
    means: Means = field(default_factory=Means)
    place: Place = field(default=Place(0), compare=False)

    @property
    def numbers(self) -> tuple[float, ...]:
        """The values in SI."""
        return tuple(v.value for v in self.values)


@dataclass(frozen=True, slots=True)
class Readings:
    """All rows by name, the title and notes, the text as given, and what is wrong with it."""

    rows: Mapping[str, Reading]
    title: str = ""
    notes: tuple[str, ...] = ()
    text: str = ""
    problems: tuple[Problem, ...] = ()

    def words(self, name: str) -> str:
        """The text of a row, empty when it is not there."""
        row = self.rows.get(name)
        return row.text if row else ""


@cache
def vocabulary() -> Mapping[str, Row]:
    """Every name a row may have, to its line of `assay_readings.tsv`."""
    found: dict[str, Row] = {}
    for row in read_table("assay_readings"):
        for name in (row.text("name"), *row.names("names")):
            found[name] = row
    return MappingProxyType(found)


def read_readings(text: str, file: str = "") -> Readings:
    """Every row of `text`. Codes: assay.row-unknown, assay.row-twice, assay.value-..., assay.unit,
    assay.negative, assay.ware-..., assay.long."""
    rows: dict[str, Reading] = {}
    problems: list[Problem] = []
    notes: list[str] = []
    title = ""
    for number, line in enumerate(text.splitlines(), start=1):
        cells = _cells(line, Place(number, file=file))
        if cells is None:
            stripped = line.strip()
            if stripped.startswith("# ") and not title:
                title = stripped[2:].strip()
            elif stripped:
                notes.append(stripped)
            continue
        if not cells or _heading(cells):
            continue
        reading, wrong = _row(cells)
        problems.extend(wrong)
        if reading is None:
            continue
        if reading.name in rows:
            message = f"'{reading.name}' stands twice; the first row is used."
            hint = "Put replicates into one cell with ; between."
            places = (reading.place, rows[reading.name].place)
            problems.append(Problem("assay.row-twice", message, places, hint))
        elif len(rows) < MOST_ROWS:
            rows[reading.name] = reading
    return Readings(MappingProxyType(rows), title, tuple(notes), text, tuple(problems))


_Cell = tuple[str, Place]


def _cells(line: str, place: Place) -> list[_Cell] | None:
    """The cells of a row with their places; None for a line that is no row."""
    if line.lstrip().startswith("|"):
        return [] if _RULE.match(line) else _placed(line.strip().strip("|").split("|"), line, place)
    if line.lstrip().startswith("#"):
        return None
    if "\t" in line:
        return _placed(line.split("\t"), line, place)
    head = line.split(",", 1)[0].strip().strip('"').lower()
    if "," in line and (head in vocabulary() or head == "reading"):
        try:
            return _placed(next(csv.reader([line])), line, place)
        except (csv.Error, StopIteration):
            return None
    return None


def _placed(cells: Iterable[str], line: str, place: Place) -> list[_Cell]:
    found, at = [], 0
    for cell in cells:
        text = cell.strip()
        start = line.find(text, at) if text else at
        at = max(start, at)
        found.append((text, place.shifted(at, max(len(text), 1))))
        at += len(text)
    return found


def _heading(cells: list[_Cell]) -> bool:
    return cells[0][0].lower() in ("reading", "readings", "")


def _row(cells: list[_Cell]) -> tuple[Reading | None, tuple[Problem, ...]]:
    (name, place), *rest = cells
    row = vocabulary().get(" ".join(name.lower().split()))
    if row is None:
        return None, (_unknown(name, place),)
    value, at = rest[0] if rest else ("", place)
    means, wrong = read_means(*rest[1]) if len(rest) > 1 and rest[1][0] else (Means(), ())
    kind, known = row.text("kind"), row.text("name")
    if not value:  # a row of a form that was left empty
        return None, wrong
    if kind == "text":
        return Reading(known, kind, (), value, means, place), wrong
    values, faults = _values(value, at, kind)
    if len(values) > 1 and row.text("many") != "yes":
        message = f"'{known}' takes one value."
        faults = (*faults, Problem("assay.value-many", message, (at,), "Write one."))
    if any(f.severity is Severity.ERROR for f in faults):
        return None, (*faults, *wrong)
    return Reading(known, kind, values, value, means, place), (*faults, *wrong)


def _values(cell: str, place: Place, kind: str) -> tuple[tuple[Value, ...], tuple[Problem, ...]]:
    """Replicates of one cell; those without a unit take that of the last."""
    values: list[Value] = []
    problems: list[Problem] = []
    parts = join_units(cell.split(";"))
    at = 0
    for part, whole in parts:
        text = whole.strip()
        where = place.shifted(at + len(part) - len(part.lstrip()), max(len(part.strip()), 1))
        at += len(part) + 1
        if not text:
            continue
        value, wrong = read_value(text, where, kind)
        problems.extend(wrong)
        if value is not None:
            values.append(value)
    if not values and not problems:
        problems.append(Problem("assay.value-empty", "There is no number here.", (place,)))
    return tuple(values), tuple(problems)


def _unknown(name: str, place: Place) -> Problem:
    import difflib  # noqa: PLC0415 - only for a mistake

    near = difflib.get_close_matches(name.lower(), vocabulary(), n=3, cutoff=0.6)
    hint = f"Did you mean {' or '.join(near)}?" if near else "See docs/assays.md for the names."
    return Problem("assay.row-unknown", f"'{name}' is no reading.", (place,), hint)
