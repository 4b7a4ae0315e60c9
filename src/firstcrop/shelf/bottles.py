"""Keep bottles, draw from them, and never lose a draw: each is checked against what is left."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass, fields, replace
from datetime import UTC, datetime
from difflib import get_close_matches
from typing import Any

from sqlalchemy import Connection, RowMapping, Select, func, insert, select, update
from sqlalchemy.exc import IntegrityError

from firstcrop.problems import Problem
from firstcrop.shelf.records import MASS, VOLUME, Assay, Bottle, Draw, Level
from firstcrop.shelf.tables import ASSAY, BOTTLE, DRAW
from firstcrop.store.engine import Store

SLACK = 1e-9  # of the bottle's size: rounding, not matter


def now() -> str:
    """The clock, ISO 8601 in UTC."""
    return datetime.now(UTC).isoformat(timespec="seconds")


def add_bottle(store: Store, bottle: Bottle) -> Bottle | Problem:
    """Put a bottle on the shelf; its name must be free."""
    added = add_bottles(store, (Delivery(bottle),))
    return added if isinstance(added, Problem) else added[0]


@dataclass(frozen=True, slots=True)
class Delivery:
    """A bottle to be put on the shelf, with what is known of it already."""

    bottle: Bottle
    draw: Draw | None = None
    assay: Assay | None = None


def add_bottles(store: Store, deliveries: Iterable[Delivery]) -> tuple[Bottle, ...] | Problem:
    """Put bottles on the shelf, all or none; every name must be free."""
    found, name = [], ""
    with suppress(IntegrityError), store.writing() as connection:
        for one in deliveries:
            name = fold(one.bottle.name)
            wrong = _wrong(one.bottle)
            if wrong:
                connection.rollback()
                return wrong
            found.append(_deliver(connection, one))
        return tuple(found)
    return taken(name)


def _deliver(connection: Connection, one: Delivery) -> Bottle:
    row = {**_row(one.bottle), "added": one.bottle.added or now(), "edition": 0}
    connection.execute(insert(BOTTLE).values(**row))
    bottle = _bottle(_named(connection, one.bottle.name))
    if one.draw:
        values = {**asdict(one.draw), "at": one.draw.at or now()}
        connection.execute(insert(DRAW).values(bottle_id=bottle.id, **values))
    if one.assay:
        connection.execute(insert(ASSAY).values(bottle_id=bottle.id, **asdict(one.assay)))
    return bottle


def taken(name: str) -> Problem:
    """The Problem that a bottle of that name stands there."""
    return Problem("shelf.taken", f"there is a bottle called {name} on the shelf", hint="give this "
                   f"one another name, for example: {name} 2")  # fmt: skip


def _wrong(bottle: Bottle) -> Problem | None:
    if not bottle.name or len(bottle.name) > 80:
        return Problem("shelf.name", "a bottle needs a name of 1 to 80 characters")
    if bottle.unit not in (MASS, VOLUME) or not 0.0 < bottle.size < float("inf"):
        return Problem("shelf.size", "how much is in the bottle?", hint="write: 500 g, or 1 L")
    if any("\0" in value for value in asdict(bottle).values() if isinstance(value, str)):
        return Problem("shelf.text", "a bottle's text cannot hold the character NUL")
    return None


def change_bottle(store: Store, name: str, edition: int, **changes: Any) -> Bottle | Problem:
    """Change what is written about a bottle. `edition` is that of the record the change was made
    from: when somebody else was quicker nothing is changed and a Problem says so."""
    with store.writing() as connection:
        row = _named(connection, name)
        if row is None:
            return missing(connection, name)
        if row["edition"] != edition:
            message = f"somebody else has changed {row['name']} meanwhile"
            return Problem("shelf.changed", message, hint="look at it again, then change it")
        bottle = replace(_bottle(row), **changes, edition=edition + 1)
        wrong = _wrong(bottle)
        if wrong:
            return wrong
        where = (BOTTLE.c.id == row["id"]) & (BOTTLE.c.edition == edition)
        connection.execute(update(BOTTLE).where(where).values(**_row(bottle)))
        return bottle


def find_level(store: Store, name: str) -> Level | Problem:
    """One bottle and what is left in it."""
    with store.reading() as connection:
        row = _named(connection, name)
        return missing(connection, name) if row is None else _level(connection, row)


def levels(store: Store) -> tuple[Level, ...]:
    """Every bottle, by name, with what is left in it and its latest assay."""
    with store.reading() as connection:
        rows = connection.execute(select(BOTTLE).order_by(BOTTLE.c.name)).mappings().all()
        taken_out: dict[int, list[RowMapping]] = defaultdict(list)
        for row in connection.execute(select(DRAW)).mappings():
            taken_out[row["bottle_id"]].append(row)
        latest = {r["bottle_id"]: _assay(r) for r in connection.execute(_assays()).mappings()}
    return tuple(_stands(row, taken_out[row["id"]], latest.get(row["id"])) for row in rows)


def draw(store: Store, name: str, taken_out: Draw) -> Level | Problem:
    """Take from a bottle; the level after it. Two at once queue: the second sees the first's.

    Drawing more than is left is a Problem and draws nothing. A key already there is not drawn
    twice. A stocktaking that finds more than the books say is a negative draw.
    """
    told = draw_all(store, ((name, taken_out),))
    return told if isinstance(told, Problem) else told[0]


def draw_all(store: Store, wanted: Iterable[tuple[str, Draw]]) -> tuple[Level, ...] | Problem:
    """Draw from several bottles, from all or from none; the levels after it."""
    ordered = sorted(wanted, key=lambda pair: fold(pair[0]))  # all lock in one order: no deadlock
    found = []
    with store.writing() as connection:
        for name, taken_out in ordered:
            level = _draw_one(connection, name, taken_out)
            if isinstance(level, Problem):
                connection.rollback()
                return level
            found.append(level)
    return tuple(found)


def _draw_one(connection: Connection, name: str, taken_out: Draw) -> Level | Problem:
    row = _named(connection, name, lock=True)
    if row is None:
        return missing(connection, name)
    wrong = _wrong_draw(connection, row, taken_out)
    if isinstance(wrong, Problem):
        return wrong
    if not wrong:
        values = {**asdict(taken_out), "bottle_id": row["id"], "at": taken_out.at or now()}
        connection.execute(insert(DRAW).values(**values))
    return _level(connection, row)


def _wrong_draw(connection: Connection, row: RowMapping, wanted: Draw) -> Problem | bool:
    """A Problem; or whether the draw was recorded before."""
    if not wanted.who.strip():
        return Problem("shelf.nobody", "say who is drawing", hint="a name or initials")
    if not wanted.key or len(wanted.key) > 64:
        return Problem("shelf.key", "a draw needs a key of 1 to 64 characters")
    if not abs(wanted.amount) < float("inf"):
        return Problem("shelf.amount", "the amount is not a number")
    chosen = select(DRAW).where(DRAW.c.key == wanted.key)
    there = connection.execute(chosen).mappings().first()
    if there is not None:
        same = (there["bottle_id"], there["amount"]) == (row["id"], wanted.amount)
        return same or Problem("shelf.key", "another draw has that key")
    left = row["size"] - _drawn(connection, row["id"])
    if wanted.amount > left + SLACK * row["size"]:
        return empty(row["name"], left, wanted.amount, row["unit"])
    return False


def empty(name: str, left: float, wanted: float, unit: str) -> Problem:
    """The Problem that a bottle does not hold what is wanted."""
    size, word = (1e3, "g") if unit == MASS else (1e6, "mL")
    rest = f"{max(left, 0.0) * size:.4g} {word}"
    message = f"{name} holds {rest}; {wanted * size:.4g} {word} cannot be drawn from it"
    hint = "if more is in it, count again: firstcrop shelf draw --left"
    return Problem("shelf.empty", message, hint=hint)


def draws(store: Store, name: str) -> tuple[Draw, ...] | Problem:
    """What was drawn from a bottle, in order."""
    with store.reading() as connection:
        row = _named(connection, name)
        if row is None:
            return missing(connection, name)
        chosen = select(DRAW).where(DRAW.c.bottle_id == row["id"]).order_by(DRAW.c.id)
        return tuple(_draw(r) for r in connection.execute(chosen).mappings())


def record_assay(store: Store, name: str, assay: Assay) -> Assay | Problem:
    """Keep the result of an assay of a bottle; the same key is kept once."""
    with store.writing() as connection:
        row = _named(connection, name, lock=True)
        if row is None:
            return missing(connection, name)
        if not assay.who.strip():
            return Problem("shelf.nobody", "say who did the assay", hint="a name or initials")
        if not 0.0 <= assay.value < float("inf") or not 0.0 <= assay.standard_uncertainty < 1e9:
            return Problem("shelf.assay", "a strength and its uncertainty cannot be negative")
        found = connection.execute(select(ASSAY).where(ASSAY.c.key == assay.key)).mappings().first()
        if found is not None:
            same = found["bottle_id"] == row["id"] and _assay(found) == assay
            return assay if same else Problem("shelf.key", "another assay has that key")
        connection.execute(insert(ASSAY).values(bottle_id=row["id"], **asdict(assay)))
    return assay


def assays(store: Store, name: str) -> tuple[Assay, ...] | Problem:
    """The assays of a bottle, the oldest first."""
    with store.reading() as connection:
        row = _named(connection, name)
        if row is None:
            return missing(connection, name)
        chosen = _assays().where(ASSAY.c.bottle_id == row["id"])
        return tuple(_assay(r) for r in connection.execute(chosen).mappings())


def fold(name: str) -> str:
    """One spelling for one bottle: single spaces, lower case."""
    return " ".join(name.split()).lower()


def missing(connection: Connection, name: str) -> Problem:
    """The Problem that there is no such bottle, with the nearest names."""
    names = list(connection.execute(select(BOTTLE.c.name)).scalars())
    near = get_close_matches(fold(name), names, n=3)
    hint = f"did you mean {' or '.join(near)}?" if near else "add it: firstcrop shelf add"
    return Problem("shelf.missing", f"there is no bottle called “{name}” on the shelf", hint=hint)


def _named(connection: Connection, name: str, lock: bool = False) -> RowMapping | None:
    chosen = select(BOTTLE).where(BOTTLE.c.name == fold(name))
    if lock:
        chosen = chosen.with_for_update()
    return connection.execute(chosen).mappings().first()


def _assays() -> Select[Any]:
    return select(ASSAY).order_by(ASSAY.c.taken_at, ASSAY.c.id)


def _drawn(connection: Connection, bottle: int) -> float:
    chosen = select(func.sum(DRAW.c.amount)).where(DRAW.c.bottle_id == bottle)
    return float(connection.execute(chosen).scalar() or 0.0)


def _level(connection: Connection, row: RowMapping) -> Level:
    past = connection.execute(_assays().where(ASSAY.c.bottle_id == row["id"])).mappings().all()
    taken_out = connection.execute(select(DRAW).where(DRAW.c.bottle_id == row["id"])).mappings()
    return _stands(row, taken_out.all(), _assay(past[-1]) if past else None)


def _stands(row: RowMapping, taken_out: Sequence[RowMapping], assay: Assay | None) -> Level:
    left = row["size"] - math.fsum(d["amount"] for d in taken_out)
    since = assay.taken_at if assay else ""
    return Level(_bottle(row), left, sum(d["at"] >= since for d in taken_out), assay)


def _row(bottle: Bottle) -> dict[str, Any]:
    row = {**asdict(bottle), "name": fold(bottle.name), "hazards": " ".join(bottle.hazards)}
    del row["id"]
    return row


def _bottle(row: RowMapping | None) -> Bottle:
    assert row is not None, "the bottle was there a moment ago"
    return Bottle(**{**row, "hazards": tuple(row["hazards"].split())})


def _draw(row: RowMapping) -> Draw:
    return Draw(**{f.name: row[f.name] for f in fields(Draw)})


def _assay(row: RowMapping) -> Assay:
    return Assay(**{f.name: row[f.name] for f in fields(Assay)})
