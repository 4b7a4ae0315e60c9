"""The notebook of a folder, and a run in it by the first characters of its number."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from firstcrop.cli import asking
from firstcrop.cli.shelf_store import shelf_of
from firstcrop.notebook.book import find_run, runs
from firstcrop.notebook.records import Entry, Run
from firstcrop.problems import Problem
from firstcrop.store.engine import Store
from firstcrop.store.urls import exists

Where = tuple[Path, str | None]
Found = tuple[Run, tuple[Entry, ...]]
SHOWN = 8  # characters of a run's number that are shown


def in_notebook(where: Where, work: Callable[[Store], int | Problem], make: bool = False) -> int:
    """Do something with the notebook; the exit code. Without `make` it must be there already."""
    if not make and not exists(*where):
        hint = "runs are begun on the page that firstcrop open shows; --folder names another folder"
        return asking.complain(Problem("notebook.none", "there is no notebook here", hint=hint))
    with shelf_of(*where) as store:
        done = store if isinstance(store, Problem) else work(store)
    return asking.complain(done) if isinstance(done, Problem) else done


def with_run(where: Where, id: str, work: Callable[[Store, Found], int | Problem]) -> int:
    """Do something with one run."""

    def found(store: Store) -> int | Problem:
        run = run_named(store, id)
        return run if isinstance(run, Problem) else work(store, run)

    return in_notebook(where, found)


def run_named(store: Store, id: str) -> Found | Problem:
    """The run whose number begins so."""
    near = [run.id for run in runs(store) if id and run.id.startswith(id.lower())]
    if len(near) == 1:
        return find_run(store, near[0])
    if near:
        return Problem("notebook.run.several", f"{len(near)} runs begin with “{id}”",
                       hint="write more of its number")  # fmt: skip
    return Problem("notebook.run.missing", f"there is no run “{id}”",
                   hint="firstcrop notebook list shows them")  # fmt: skip
