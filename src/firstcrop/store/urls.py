"""Which database: what the caller names, else FIRSTCROP_DB, else a file in the folder."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Final

from firstcrop.problems import Problem

VARIABLE: Final = "FIRSTCROP_DB"
FILE: Final = "firstcrop.db"


def default_url(folder: Path | str) -> str:
    """The URL of the SQLite file that belongs to a folder of sheets."""
    return f"sqlite:///{(Path(folder) / FILE).as_posix()}"


def chosen_url(folder: Path | str, named: str | None = None) -> str:
    """The database to use: the one named on the command line, of the environment, of the folder."""
    return named or os.environ.get(VARIABLE) or default_url(folder)


def exists(folder: Path | str, named: str | None = None) -> bool:
    """Whether there is a database to read: one that was named, or the folder's file."""
    return bool(named or os.environ.get(VARIABLE)) or (Path(folder) / FILE).is_file()


def full_url(url: str) -> str | Problem:
    """The URL with its driver; a Problem when it is for no database firstcrop knows."""
    scheme, mark, rest = url.partition("://")
    if mark and scheme == "sqlite":
        return url
    if mark and scheme in ("postgresql", "postgres", "postgresql+psycopg"):
        return f"postgresql+psycopg://{rest}"
    hint = "write sqlite:///FILE or postgresql://USER@HOST/NAME"
    return Problem("store.url", "this is not the URL of a database firstcrop can use", hint=hint)
