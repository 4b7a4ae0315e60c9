"""Fixtures many tests share: an empty database, on SQLite and again on PostgreSQL."""

from __future__ import annotations

import uuid
from collections.abc import Iterator

import pytest


@pytest.fixture(scope="session")
def postgres_folder() -> Iterator[str]:
    """The socket folder of a running PostgreSQL; the tests that need it are skipped without."""
    from postgres import binaries, running

    found = binaries()
    if found is None:
        pytest.skip("no PostgreSQL here: on Debian, apt-get install postgresql")
    with running(found) as folder:
        yield folder


@pytest.fixture(params=["sqlite", "postgresql"])
def store_url(request: pytest.FixtureRequest, tmp_path) -> Iterator[str]:
    """The URL of an empty database of each kind."""
    if request.param == "sqlite":
        yield f"sqlite:///{tmp_path / 'firstcrop.db'}"
        return
    from postgres import drop_database, new_database

    folder = request.getfixturevalue("postgres_folder")
    name = f"t{uuid.uuid4().hex}"
    yield new_database(folder, name)
    drop_database(folder, name)


@pytest.fixture
def store(store_url: str) -> Iterator[object]:
    """An open database of each kind, migrated."""
    from firstcrop.store.engine import Store, open_store

    opened = open_store(store_url)
    assert isinstance(opened, Store), opened
    yield opened
    opened.close()
