"""The shelf as a CSV file, out and back in: what was written is read again, or it is said why not.

A file is taken whole or not at all, so that no row is lost on the way.
"""

from __future__ import annotations

import csv
import io
import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from firstcrop.bank.bank import Bank
from firstcrop.problems import Place, Problem
from firstcrop.quantity.read import read_quantity, read_strength
from firstcrop.quantity.records import Basis, Kind, Quantity, Strength
from firstcrop.quantity.write import write_quantity, write_strength
from firstcrop.shelf.bottles import Delivery, add_bottles, levels
from firstcrop.shelf.entering import CELLS, read_bottle
from firstcrop.shelf.records import HALF, MASS, Assay, Bottle, Draw, Level
from firstcrop.store.engine import Store

MORE = ("left", "assay", "assayed", "method")  # columns beyond those of the bottle itself
COLUMNS = (*CELLS, *MORE)
LARGEST = 5_000_000  # characters
WHO = "import"
KINDS = MappingProxyType({MASS: (Kind.MASS, "g"), "m3": (Kind.VOLUME, "mL")})


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import did: bottles added, bottles that stood there alike, mistakes (then nothing
    was added)."""

    added: tuple[Bottle, ...] = ()
    alike: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()


def export_csv(store: Store) -> str:
    """Every bottle, one a row under the headings COLUMNS."""
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, lineterminator="\n")
    writer.writeheader()
    writer.writerows(cells_of(level) for level in levels(store))
    return out.getvalue()


def cells_of(level: Level) -> dict[str, str]:
    """A bottle as cells that read back to it."""
    b = level.bottle
    price = "" if b.price is None else f"{b.price!r} {b.currency}".strip()
    warm = "" if b.temperature is None else quantity(b.temperature, Kind.TEMPERATURE, "°C")
    cells = {
        "name": b.name, "product": b.product, "strength": b.strength,
        "size": quantity(b.size, *KINDS[b.unit]), "lot": b.lot, "price": price,
        "bought": b.bought, "made": b.made, "opened": b.opened, "stored at": b.stored_at,
        "temperature": warm, "hazards": " ".join(b.hazards), "notes": b.notes,
        "left": quantity(max(level.left, 0.0), *KINDS[b.unit]),
    }  # fmt: skip
    if level.assay:
        a = level.assay
        strength = Strength(a.value, Basis(a.basis), a.standard_uncertainty * HALF)
        cells |= {"assay": write_strength(strength), "assayed": a.taken_at, "method": a.method}
    return cells


def quantity(value: float, kind: Kind, unit: str) -> str:
    """A value as text that reads back to it."""
    return write_quantity(Quantity(value, kind, 0.0, unit))


def import_csv(store: Store, text: str, bank: Bank) -> Imported:
    """Add every bottle of the file, or none and every mistake with its line. A bottle that stands
    on the shelf just so is passed over."""
    rows, problems = _rows(text)
    there = {level.bottle.name: cells_of(level) for level in levels(store)}
    wanted: list[Delivery] = []
    alike: list[str] = []
    for line, cells in rows:
        made = _delivery(cells, bank)
        if not isinstance(made, Delivery):
            problems += [replace(p, places=(Place(line),)) for p in made]
            continue
        name = made.bottle.name
        if any(name == d.bottle.name for d in wanted):
            problems.append(_at(line, "shelf.twice", f"{name} stands in the file twice"))
        elif name not in there:
            wanted.append(made)
        elif _same(there[name], made, cells):
            alike.append(name)
        else:
            message = f"{name} is on the shelf already, and not as it is written here"
            problems.append(_at(line, "shelf.taken", message, "give this one another name"))
    if problems or not wanted:
        return Imported((), tuple(alike), tuple(problems))
    added = add_bottles(store, wanted)
    if isinstance(added, Problem):
        return Imported((), tuple(alike), (added,))
    return Imported(added, tuple(alike))


def _at(line: int, code: str, message: str, hint: str = "") -> Problem:
    return Problem(code, message, (Place(line),), hint)


def _same(there: Mapping[str, str], made: Delivery, cells: Mapping[str, str]) -> bool:
    """Whether the file says what the shelf says; what it leaves out is not compared."""
    gone = made.draw.amount if made.draw else 0.0
    ours = cells_of(Level(made.bottle, made.bottle.size - gone, assay=made.assay))
    told = [*CELLS, *(k for k in MORE if cells.get(k, "").strip())]
    return all(there.get(k, "") == ours.get(k, "") for k in told)


def _rows(text: str) -> tuple[list[tuple[int, dict[str, str]]], list[Problem]]:
    """(line, cells by heading) of every row, and what is wrong with the table itself."""
    if len(text) > LARGEST:
        return [], [_at(1, "shelf.csv", "the file is too large for a shelf")]
    body = text.removeprefix("\ufeff")
    first = body.partition("\n")[0]
    reader = csv.reader(io.StringIO(body), delimiter=max(",;\t", key=first.count), strict=True)
    try:
        headings = [h.strip().lower() for h in next(reader, [])]
        wrong = _headings(headings)
        if wrong:
            return [], wrong
        return _read(reader, headings)
    except csv.Error as error:
        return [], [_at(reader.line_num, "shelf.csv", f"this is no CSV: {error}")]


def _headings(headings: Sequence[str]) -> list[Problem]:
    usual = ", ".join(COLUMNS)
    wrong = [h for h in headings if h not in COLUMNS]
    if wrong:
        message = f"there is no column “{wrong[0]}” for a bottle"
        return [_at(1, "shelf.csv", message, f"the columns are: {usual}")]
    lacking = [h for h in ("name", "product", "size") if h not in headings]
    if lacking:
        message = f"the column {lacking[0]} is missing"
        return [_at(1, "shelf.csv", message, f"the first line names the columns: {usual}")]
    if len(set(headings)) < len(headings):
        return [_at(1, "shelf.csv", "a column stands there twice")]
    return []


def _read(
    reader: Iterable[list[str]], headings: Sequence[str]
) -> tuple[list[tuple[int, dict[str, str]]], list[Problem]]:
    rows, problems = [], []
    last = 1
    for cells in reader:
        line, last = last + 1, getattr(reader, "line_num", last)
        if not any(c.strip() for c in cells):
            continue
        if len(cells) > len(headings):
            message = f"{len(cells)} cells under {len(headings)} headings"
            problems.append(_at(line, "shelf.csv", message, "is a comma inside a cell unquoted?"))
            continue
        rows.append((line, dict(zip(headings, cells, strict=False))))
    return rows, problems


def _delivery(cells: Mapping[str, str], bank: Bank) -> Delivery | tuple[Problem, ...]:
    bottle = read_bottle(cells, bank)
    if not isinstance(bottle, Bottle):
        return bottle
    gone, assay = _gone(cells, bottle), _assay(cells)
    wrong = tuple(p for p in (gone, assay) if isinstance(p, Problem))
    if wrong:
        return wrong
    assert not isinstance(gone, Problem)
    assert not isinstance(assay, Problem)
    return Delivery(bottle, gone, assay)


def _gone(cells: Mapping[str, str], bottle: Bottle) -> Draw | Problem | None:
    written = cells.get("left", "").strip()
    if not written:
        return None
    left = read_quantity(written)
    kind, _ = KINDS[bottle.unit]
    if isinstance(left, Problem) or left.kind is not kind:
        why = left.message if isinstance(left, Problem) else f"“{written}” is no {kind.value}"
        return Problem("shelf.left", f"left: {why}", hint="write it like the size")
    if left.value == bottle.size:
        return None
    return Draw(uuid.uuid4().hex, "", WHO, bottle.size - left.value, notes="as imported")


def _assay(cells: Mapping[str, str]) -> Assay | Problem | None:
    written = cells.get("assay", "").strip()
    if not written:
        return None
    found = read_strength(written)
    if isinstance(found, Problem):
        return Problem("shelf.strength", f"assay: {found.message}", hint=found.hint)
    when = cells.get("assayed", "").strip()
    if not when:
        return Problem("shelf.date", "assayed: when was the assay?", hint="write: 2026-03-01")
    method = cells.get("method", "").strip() or "not told"
    return Assay(uuid.uuid4().hex, when, WHO, method, found.value, found.basis.value,
                 found.band / HALF, notes="as imported")  # fmt: skip
