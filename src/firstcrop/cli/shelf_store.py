"""The shelf of a folder: opened when it is needed, and when it is there."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

import click
from sqlalchemy.exc import OperationalError

from firstcrop.forecast.records import Bottle
from firstcrop.problems import Problem
from firstcrop.store.engine import Store, open_store, trouble
from firstcrop.store.urls import chosen_url, exists


@contextmanager
def shelf_of(folder: Path | str, url: str | None = None) -> Iterator[Store | Problem]:
    """The shelf of a folder, made when there is none; a Problem when it cannot be opened."""
    store = open_store(chosen_url(folder, url))
    try:
        yield store
    except OperationalError as error:
        told = trouble(error)
        raise click.ClickException(f"{told.message}. {told.hint}") from error
    finally:
        if isinstance(store, Store):
            store.close()


def bottles_named(
    folder: Path | str, url: str | None, named: tuple[str, ...]
) -> tuple[Bottle, ...] | Problem:
    """The bottles of the folder's shelf as a forecast takes them; none when there is no shelf."""
    if not named or not exists(folder, url):
        return ()
    from firstcrop.bank.bank import load_bank
    from firstcrop.shelf.sheets import offers

    with shelf_of(folder, url) as store:
        if isinstance(store, Problem):
            return store
        return offers(store, load_bank(), date.today(), named)
