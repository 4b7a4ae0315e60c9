"""Write in the notebook and read it back. An acknowledged entry is on the disk."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import asdict, replace
from datetime import UTC, datetime
from uuid import uuid4

from sqlalchemy import Connection, RowMapping, insert, select, update
from sqlalchemy.exc import IntegrityError

from firstcrop.notebook.chain import chained, digest_of_entry, digest_of_run
from firstcrop.notebook.records import Entry, Kind, Photo, Reading, Receipt, Run
from firstcrop.notebook.tables import ENTRY, PHOTO, RUN
from firstcrop.problems import Problem
from firstcrop.store.engine import Store

LARGEST_PHOTO = 1_000_000  # bytes; a page makes larger ones smaller
LONGEST_TEXT = 20_000  # characters of one note
PICTURES = ("image/jpeg", "image/png", "image/webp")


def now() -> str:
    """The server's clock, ISO 8601 in UTC."""
    return datetime.now(UTC).isoformat(timespec="milliseconds")


def begin_run(
    store: Store, title: str, sheet_name: str, sheet: str, forecast: str, who: str, id: str = ""
) -> Run | Problem:
    """Open a run. The same `id` sent twice opens it once."""
    run = Run(id or uuid4().hex, title, sheet_name, sheet, forecast, now(), who.strip())
    if not run.who:
        return Problem("notebook.nobody", "say who is at the bench", hint="a name or initials")
    run = replace(run, head=digest_of_run(run))
    with suppress(IntegrityError), store.writing() as connection:
        connection.execute(insert(RUN).values(**asdict(run)))
        return run
    found = find_run(store, run.id)
    if isinstance(found, tuple) and (found[0].sheet, found[0].who) == (run.sheet, run.who):
        return found[0]
    return Problem("notebook.run.taken", f"another run is called {run.id}")


def append(store: Store, run_id: str, readings: Iterable[Reading]) -> tuple[Receipt, ...] | Problem:
    """Record readings in the order given, all or none; a key already there is not recorded twice.

    A key that comes back with other contents is refused: correct an entry by a new one.
    """
    with store.writing() as connection:
        # the write comes first: it takes the run's lock, so two benches queue here
        connection.execute(update(RUN).where(RUN.c.id == run_id).values(entries=RUN.c.entries))
        found = connection.execute(select(RUN).where(RUN.c.id == run_id)).mappings().first()
        if found is None:
            return Problem("notebook.run.missing", "there is no such run")
        run, receipts = _run(found), []
        for reading in readings:
            receipt = _record(connection, run, reading)
            if isinstance(receipt, Problem):
                connection.rollback()
                return receipt
            if receipt.number > run.entries:
                run = replace(run, entries=receipt.number, head=receipt.digest)
            receipts.append(receipt)
        connection.execute(
            update(RUN).where(RUN.c.id == run_id).values(entries=run.entries, head=run.head)
        )
    return tuple(receipts)


def _record(connection: Connection, run: Run, reading: Reading) -> Receipt | Problem:
    wanted = (ENTRY.c.run_id == run.id) & (ENTRY.c.key == reading.key)
    there = connection.execute(select(ENTRY).where(wanted)).mappings().first()
    if there is not None:
        before = _entry(there)
        if before.reading != reading:
            return Problem(
                "notebook.key.taken",
                f"entry {before.number} was recorded with other contents",
                hint="An entry is never overwritten: send a correction",
            )
        return Receipt(reading.key, before.number, before.digest)
    wrong = _wrong(run, reading)
    if wrong:
        return wrong
    number, received = run.entries + 1, now()
    digest = digest_of_entry(number, reading, received, run.head)
    connection.execute(
        insert(ENTRY).values(
            run_id=run.id, number=number, received=received, previous=run.head, digest=digest,
            **asdict(reading),
        )
    )  # fmt: skip
    return Receipt(reading.key, number, digest)


def _wrong(run: Run, reading: Reading) -> Problem | None:
    """The first thing that keeps a reading out of the book."""
    checks = (
        (
            not 0 < len(reading.key) <= 128,
            "key.bad",
            "a reading needs a key of 1 to 128 characters",
        ),
        (not reading.who.strip(), "nobody", "say who took the reading"),
        (
            reading.value is not None and not math.isfinite(reading.value),
            "value.bad",
            "the value is not a number",
        ),
        (
            max(len(reading.text), len(reading.reason)) > LONGEST_TEXT,
            "text.long",
            f"a note holds {LONGEST_TEXT:,} characters at most",
        ),
        (
            "\0" in reading.key + reading.text + reading.reason + reading.who + reading.unit,
            "text.bad",
            "a note cannot hold the character NUL",
        ),
        (
            reading.corrects != 0 and not 0 < reading.corrects <= run.entries,
            "corrects.missing",
            f"there is no entry {reading.corrects}",
        ),
        (
            reading.corrects != 0 and not reading.reason.strip(),
            "reason.missing",
            "say why the entry is corrected",
        ),
        (not _is_moment(reading.at), "time.bad", f"“{reading.at}” is not a time with its zone"),
    )
    found = (Problem(f"notebook.{code}", message) for wrong, code, message in checks if wrong)
    return next(found, None)


def _is_moment(written: str) -> bool:
    try:
        return datetime.fromisoformat(written).tzinfo is not None
    except ValueError:
        return False


def keep_photo(store: Store, media_type: str, content: bytes) -> Photo | Problem:
    """Keep a picture; the same picture is kept once."""
    if media_type not in PICTURES:
        return Problem("notebook.photo.kind", "a photo is a JPEG, PNG or WebP picture")
    if not 0 < len(content) <= LARGEST_PHOTO:
        return Problem("notebook.photo.large", "a photo holds 1 MB at most, and not nothing")
    photo = Photo(hashlib.sha256(content).hexdigest(), media_type, content)
    with suppress(IntegrityError), store.writing() as connection:
        connection.execute(insert(PHOTO).values(**asdict(photo)))
    return photo


def find_photo(store: Store, digest: str) -> Photo | Problem:
    """The picture of that digest."""
    with store.reading() as connection:
        row = connection.execute(select(PHOTO).where(PHOTO.c.digest == digest)).mappings().first()
    if row is None:
        return Problem("notebook.photo.missing", "there is no such photo")
    return Photo(row["digest"], row["media_type"], bytes(row["content"]))


def runs(store: Store) -> tuple[Run, ...]:
    """Every run, the latest first."""
    with store.reading() as connection:
        rows = connection.execute(select(RUN).order_by(RUN.c.begun.desc(), RUN.c.id)).mappings()
        return tuple(_run(row) for row in rows)


def find_run(store: Store, run_id: str) -> tuple[Run, tuple[Entry, ...]] | Problem:
    """A run and its entries, by number, read at one moment."""
    with store.reading() as connection:
        row = connection.execute(select(RUN).where(RUN.c.id == run_id)).mappings().first()
        if row is None:
            return Problem("notebook.run.missing", "there is no such run")
        run = _run(row)
        # what arrives between the two reads is left for the next time
        recorded = (ENTRY.c.run_id == run_id) & (ENTRY.c.number <= run.entries)
        rows = connection.execute(select(ENTRY).where(recorded).order_by(ENTRY.c.number))
        return run, tuple(_entry(row) for row in rows.mappings())


def verify(store: Store, run_id: str) -> Problem | None:
    """None when every entry of the run is as it was recorded."""
    found = find_run(store, run_id)
    return found if isinstance(found, Problem) else chained(*found)


def _run(row: RowMapping) -> Run:
    return Run(**row)


def _entry(row: RowMapping) -> Entry:
    named = {name: row[name] for name in Reading.__dataclass_fields__}
    reading = Reading(**{**named, "kind": Kind(row["kind"])})
    return Entry(row["number"], reading, row["received"], row["previous"], row["digest"])
