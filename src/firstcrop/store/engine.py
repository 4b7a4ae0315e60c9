"""Open the database, bring its tables up to date, and write in one transaction or not at all."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Connection, Engine, create_engine, event, inspect, text
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError, SQLAlchemyError

from firstcrop.problems import Problem
from firstcrop.store.urls import full_url

MIGRATIONS: Final = files("firstcrop.store") / "migrations"
WRITING: Final = "firstcrop_writing"
MIGRATION_LOCK: Final = 0x66697273  # "firs": the advisory lock of two programs migrating at once
PATIENCE: Final = 20  # s a writer waits for another one


@dataclass(frozen=True, slots=True, eq=False)
class Store:
    """An open database whose tables are up to date."""

    engine: Engine
    address: str  # its URL without the password

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A transaction that will write: all of it is kept, or nothing. On SQLite it takes the
        write lock at once; on PostgreSQL lock the rows you build on (`with_for_update`)."""
        with (
            self.engine.connect() as plain,
            plain.execution_options(**{WRITING: True}) as connection,
            connection.begin(),
        ):
            yield connection

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A transaction that only reads."""
        with self.engine.connect() as connection:
            yield connection

    @contextmanager
    def snapshot(self) -> Iterator[Connection]:
        """A transaction that sees the database as it was at one moment."""
        with self.engine.connect() as plain:
            level = {"postgresql": {"isolation_level": "REPEATABLE READ"}}
            yield plain.execution_options(**level.get(plain.dialect.name, {}))

    def close(self) -> None:
        """Give up every connection."""
        self.engine.dispose()


def open_store(url: str) -> Store | Problem:
    """The database at a URL, created and migrated as needed; a Problem when it cannot be had."""
    return _opened(url, "head")


def migrated_to(url: str, at: str) -> Store | Problem:
    """A new database with its tables as they were at a migration, for a backup of that time."""
    if at not in _steps():
        return Problem("store.newer", "this was written by a newer firstcrop", hint="update it")
    return _opened(url, at)


def stage(connection: Connection) -> str:
    """The number of the last migration of a database."""
    return _at(connection)


def _opened(url: str, wanted: str) -> Store | Problem:
    whole = full_url(url)
    if isinstance(whole, Problem):
        return whole
    try:
        engine, address = _engine(whole)
    except (ArgumentError, ValueError):
        return Problem("store.url", "the URL of the database cannot be read")
    except ImportError:
        return Problem(
            "store.driver",
            "the driver for PostgreSQL is not installed",
            hint="pip install 'firstcrop[postgres]'",
        )
    store = Store(engine, address)
    try:
        trouble = _migrate(store, wanted)
    except SQLAlchemyError as error:
        trouble = Problem("store.closed", f"the database {address} cannot be opened: "
                          f"{_reason(error)}", hint=_advice(whole))  # fmt: skip
    if trouble:
        store.close()
        return trouble
    return store


def _engine(url: str) -> tuple[Engine, str]:
    parsed = make_url(url)
    address = parsed.render_as_string(hide_password=True)
    if parsed.get_backend_name() == "postgresql":
        options = {"connect_timeout": 10}
        return create_engine(parsed, connect_args=options, pool_pre_ping=True), address
    engine = create_engine(parsed, connect_args={"timeout": PATIENCE})
    event.listen(engine, "connect", _set_up_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    return engine, address


def _set_up_sqlite(connection: Any, record: object) -> None:
    del record
    connection.isolation_level = None  # we say BEGIN ourselves, so DDL is in the transaction too
    cursor = connection.cursor()
    for pragma in ("journal_mode = WAL", "synchronous = FULL", "foreign_keys = ON"):
        cursor.execute(f"PRAGMA {pragma}")
    cursor.close()


def _begin_sqlite(connection: Connection) -> None:
    writing = connection.get_execution_options().get(WRITING)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")


def trouble(error: SQLAlchemyError) -> Problem:
    """What a database that fails in the middle of its work means: it is busy, full or gone. What
    was being written is not kept; what was acknowledged before is."""
    hint = "nothing of this was kept; try again when the database can be written"
    return Problem("store.busy", f"the database does not answer: {_reason(error)}", hint=hint)


def _reason(error: SQLAlchemyError) -> str:
    cause = getattr(error, "orig", None) or error
    return str(cause).strip().splitlines()[0] if str(cause).strip() else type(cause).__name__


def _advice(url: str) -> str:
    if url.startswith("sqlite"):
        return "is its folder there, may you write in it, and is the file a database?"
    return "is the server running, and are name, user and password right?"


def _steps() -> tuple[str, ...]:
    """The numbers of the migrations this firstcrop has, in order."""
    names = (entry.name for entry in (MIGRATIONS / "versions").iterdir())
    return tuple(sorted(n[:4] for n in names if n[:4].isdigit() and n.endswith(".py")))


def _at(connection: Connection) -> str:
    """The number of the last migration the database has, empty when it is new."""
    if not inspect(connection).has_table("alembic_version"):
        return ""
    return str(connection.execute(text("SELECT version_num FROM alembic_version")).scalar() or "")


def _migrate(store: Store, wanted: str) -> Problem | None:
    steps = _steps()
    with store.reading() as connection:
        at = _at(connection)
    if at == (steps[-1] if wanted == "head" else wanted):
        return None
    if at and at not in steps:
        message = f"{store.address} was written by another firstcrop (its tables are at “{at}”)"
        return Problem("store.newer", message, hint="update firstcrop")
    _upgrade(store, wanted)
    return None


def _upgrade(store: Store, wanted: str) -> None:
    """Run the migrations up to the one wanted, in one transaction; of two programs the second
    finds it done."""
    from alembic import command  # noqa: PLC0415 - slow to load, seldom needed
    from alembic.config import Config  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", str(Path(str(MIGRATIONS))).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    with store.writing() as connection:
        if connection.dialect.name == "postgresql":
            lock = text("SELECT pg_advisory_xact_lock(:key)")
            connection.execute(lock, {"key": MIGRATION_LOCK})
        config.attributes["connection"] = connection
        command.upgrade(config, wanted)
