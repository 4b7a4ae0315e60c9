"""The whole database in one file, and back: a zip of one JSON line a row, a file a table.

The file goes back into SQLite or PostgreSQL, whichever it came from, and into a newer firstcrop:
the tables are made as they were when it was written, filled, and then brought up to date.
"""

from __future__ import annotations

import base64
import json
import zipfile
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, LargeBinary, MetaData, Table, func, insert, select, text
from sqlalchemy.exc import SQLAlchemyError

from firstcrop.problems import Problem
from firstcrop.store.engine import Store, migrated_to, open_store, stage

FORMAT = "firstcrop backup"
VERSION = 1
AT_ONCE = 500  # rows
OURS = "alembic_version"


def back_up(store: Store, target: Path) -> int | Problem:
    """Write every row into one file, beside its place and then moved there; the number of rows."""
    half = target.with_name(target.name + ".part")
    try:
        with (
            store.snapshot() as connection,
            zipfile.ZipFile(half, "w", zipfile.ZIP_DEFLATED) as archive,
        ):
            about = {"format": FORMAT, "version": VERSION, "stage": stage(connection)}
            archive.writestr("about.json", json.dumps(about))
            count = sum(_table_out(connection, archive, table) for table in _tables(connection))
        half.replace(target)
    except OSError as error:
        half.unlink(missing_ok=True)
        return Problem("backup.unwritable", f"{target}: {error.strerror or error}")
    return count


def restore(source: Path, url: str) -> int | Problem:
    """Fill an empty database from a backup; the number of rows. One that holds anything is left."""
    try:
        with zipfile.ZipFile(source) as archive:
            about = json.loads(archive.read("about.json"))
            if about.get("format") != FORMAT or about.get("version") != VERSION:
                return _unreadable(source, "it is no backup this firstcrop can read")
            return _restored(archive, str(about.get("stage", "")), url, source)
    except (OSError, zipfile.BadZipFile, KeyError, ValueError, TypeError) as error:
        return _unreadable(source, str(error))


def _unreadable(source: Path, why: str) -> Problem:
    return Problem("backup.unreadable", f"{source.name} cannot be restored: {why}")


def _restored(archive: zipfile.ZipFile, at: str, url: str, source: Path) -> int | Problem:
    store = migrated_to(url, at)
    if isinstance(store, Problem):
        return store
    try:
        with store.writing() as connection:
            tables = _tables(connection)
            full = [t.name for t in tables if connection.execute(select(t).limit(1)).first()]
            if full:
                hint = "restore into a new database, or move the old one away first"
                return Problem("backup.not empty", "the database is not empty", hint=hint)
            count = sum(_table_in(connection, archive, table) for table in tables)
    except SQLAlchemyError as error:
        return _unreadable(source, type(error).__name__)
    finally:
        store.close()
    newest = open_store(url)
    if isinstance(newest, Problem):
        return newest
    newest.close()
    return count


def _tables(connection: Connection) -> list[Table]:
    """Every table but alembic's, those others refer to first."""
    found = MetaData()
    found.reflect(connection)
    return [table for table in found.sorted_tables if table.name != OURS]


def _table_out(connection: Connection, archive: zipfile.ZipFile, table: Table) -> int:
    count = 0
    ordered = select(table).order_by(*table.primary_key.columns)
    with archive.open(f"{table.name}.jsonl", "w", force_zip64=True) as out:
        for row in connection.execute(ordered).mappings():
            plain = {name: _out(value) for name, value in row.items()}
            out.write((json.dumps(plain, ensure_ascii=False) + "\n").encode())
            count += 1
    return count


def _out(value: Any) -> Any:
    return {"bytes": base64.b64encode(value).decode()} if isinstance(value, bytes) else value


def _table_in(connection: Connection, archive: zipfile.ZipFile, table: Table) -> int:
    binary = {c.name for c in table.columns if isinstance(c.type, LargeBinary)}
    rows, count = [], 0
    with archive.open(f"{table.name}.jsonl") as lines:
        for line in lines:
            row = json.loads(line)
            rows.append({k: base64.b64decode(v["bytes"]) if k in binary else v
                         for k, v in row.items()})  # fmt: skip
            if len(rows) == AT_ONCE:
                connection.execute(insert(table), rows)
                count, rows = count + len(rows), []
    if rows:
        connection.execute(insert(table), rows)
    _count_on(connection, table)
    return count + len(rows)


def _count_on(connection: Connection, table: Table) -> None:
    """PostgreSQL numbers new rows from a counter of its own: set it past the rows put in."""
    if connection.dialect.name != "postgresql":
        return
    for column in table.primary_key.columns:
        name = connection.execute(
            text("SELECT pg_get_serial_sequence(:t, :c)"), {"t": table.name, "c": column.name}
        ).scalar()
        if name:
            highest = connection.execute(select(func.max(column))).scalar() or 0
            connection.execute(
                text("SELECT setval(:s, :n, :called)"),
                {"s": name, "n": max(highest, 1), "called": highest > 0},
            )
