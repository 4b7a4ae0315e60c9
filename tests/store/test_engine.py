"""The database opens, migrates once, and keeps what it acknowledged; the same on both kinds."""

from __future__ import annotations

import os
import threading

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import create_engine, insert, inspect, select, text, update
from sqlalchemy.exc import DBAPIError, IntegrityError

from firstcrop.problems import Problem
from firstcrop.shelf.tables import ASSAY, BOTTLE, DRAW, METADATA, SETTING
from firstcrop.store.append_only import REFUSAL
from firstcrop.store.engine import Store, open_store
from firstcrop.store.urls import full_url

WORDS = dict.fromkeys(
    ("product", "strength", "lot", "currency", "bought", "made", "opened", "stored_at", "hazards",
     "notes"), "",
)  # fmt: skip
ACID = {**WORDS, "name": "acid", "substance": "sulfuric acid", "size": 1e-3, "unit": "m3",
        "added": "2026-01-01T00:00:00+00:00", "edition": 0}  # fmt: skip
DRAWN = {"bottle_id": 1, "at": "2026-01-02T00:00:00+00:00", "who": "A", "amount": 1e-4,
         "sheet": "", "notes": ""}  # fmt: skip


def test_the_migrations_make_the_tables_the_code_describes(store):
    """Column by column, as alembic compares them (types, nullability, keys)."""
    ours = set(METADATA.tables)

    def shelf_only(item, name, kind, reflected, other):
        return kind != "table" or name in ours

    with store.reading() as connection:
        context = MigrationContext.configure(connection, opts={"include_object": shelf_only})
        assert compare_metadata(context, METADATA) == []


def test_opening_again_changes_nothing(store_url):
    first = open_store(store_url)
    with first.writing() as connection:
        connection.execute(insert(BOTTLE).values(**ACID))
    first.close()
    second = open_store(store_url)
    with second.reading() as connection:
        assert connection.execute(select(BOTTLE.c.name)).scalars().all() == ["acid"]
    second.close()


def test_two_programs_opening_a_new_database_make_it_once(store_url):
    opened: list[Store | Problem] = []
    threads = [
        threading.Thread(target=lambda: opened.append(open_store(store_url))) for _ in range(4)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [type(o) for o in opened] == [Store] * 4
    with opened[0].reading() as connection:
        assert connection.execute(text("SELECT count(*) FROM alembic_version")).scalar() == 1
    for one in opened:
        one.close()


def test_a_transaction_is_kept_whole_or_not_at_all(store):
    def same_name_twice():
        with store.writing() as connection:
            connection.execute(insert(BOTTLE).values(**ACID))
            connection.execute(insert(BOTTLE).values(**ACID))

    with pytest.raises(IntegrityError):
        same_name_twice()
    with store.reading() as connection:
        assert connection.execute(select(BOTTLE)).all() == []


def test_a_draw_and_an_assay_are_never_changed(store):
    with store.writing() as connection:
        connection.execute(insert(BOTTLE).values(**ACID))
        connection.execute(insert(DRAW).values(**DRAWN, key="k"))
        connection.execute(
            insert(ASSAY).values(
                bottle_id=1, key="a", taken_at="", who="A", method="", value=1.0, basis="mol/L",
                standard_uncertainty=0.1, budget="[]", readings="[]", notes="",
            )
        )  # fmt: skip
    for statement in (update(DRAW).values(amount=0), ASSAY.delete(), update(ASSAY).values(who="B")):
        with pytest.raises(DBAPIError, match=REFUSAL), store.writing() as connection:
            connection.execute(statement)


def test_a_draw_needs_its_bottle(store):
    with pytest.raises(DBAPIError), store.writing() as connection:
        connection.execute(insert(DRAW).values(**DRAWN, key="k"))


def test_writers_queue(store):
    """Twenty threads count one number up: no update is lost."""
    with store.writing() as connection:
        connection.execute(insert(SETTING).values(name="n", text="0"))

    def count_up():
        with store.writing() as connection:
            chosen = select(SETTING.c.text).where(SETTING.c.name == "n").with_for_update()
            now = int(connection.execute(chosen).scalar_one())
            connection.execute(update(SETTING).values(text=str(now + 1)))

    threads = [threading.Thread(target=count_up) for _ in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with store.reading() as connection:
        assert connection.execute(select(SETTING.c.text)).scalar_one() == "20"


def test_a_database_of_a_newer_firstcrop_is_left_alone(store_url):
    store = open_store(store_url)
    with store.writing() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    store.close()
    problem = open_store(store_url)
    assert isinstance(problem, Problem)
    assert problem.code == "store.newer"


def test_a_failed_migration_leaves_no_half_made_tables(store_url):
    """A table in the way of the second of four: the first is not there either."""
    engine = create_engine(full_url(store_url))
    with engine.begin() as connection:
        connection.execute(text("CREATE TABLE draw (x INTEGER)"))
    problem = open_store(store_url)
    assert isinstance(problem, Problem)
    assert problem.code == "store.closed"
    assert inspect(engine).get_table_names() == ["draw"]
    engine.dispose()


def test_sqlite_is_set_up_to_lose_nothing(tmp_path):
    store = open_store(f"sqlite:///{tmp_path / 'x.db'}")
    with store.reading() as connection:
        values = [
            connection.exec_driver_sql(f"PRAGMA {name}").scalar()
            for name in ("journal_mode", "synchronous", "foreign_keys")
        ]
    assert values == ["wal", 2, 1]
    store.close()


@pytest.mark.parametrize(
    ("make", "code"),
    [
        (lambda p: f"sqlite:///{p}/no/such/folder/x.db", "store.closed"),
        (lambda p: f"sqlite:///{garbage(p)}", "store.closed"),
        (lambda p: f"sqlite:///{p}", "store.closed"),
        (lambda p: "oracle://somewhere/db", "store.url"),
        (lambda p: "firstcrop.db", "store.url"),
        (lambda p: "postgresql://a:b@h:port/db", "store.url"),
        (lambda p: f"postgresql://anna:secret@/db?host={p}", "store.closed"),
    ],
)
def test_what_is_no_database_is_a_problem(tmp_path, make, code):
    problem = open_store(make(tmp_path))
    assert isinstance(problem, Problem), problem
    assert problem.code == code
    assert "secret" not in f"{problem}"
    assert problem.hint or problem.message


def garbage(folder):
    path = folder / "x.db"
    path.write_bytes(os.urandom(5000))
    return path


def test_every_table_has_its_place(store):
    assert set(METADATA.tables) <= set(inspect(store.engine).get_table_names())
