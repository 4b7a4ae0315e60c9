"""Files out of the notebook and into it: papers, plain files, backups."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

from firstcrop import desk
from firstcrop.account.observed import with_observed
from firstcrop.account.study import study
from firstcrop.bank.bank import load_bank
from firstcrop.cli import asking
from firstcrop.cli.exits import Exit
from firstcrop.cli.files import read_text, write_whole
from firstcrop.cli.notebook_store import Found, Where, in_notebook, with_run
from firstcrop.notebook.plain import export_zip, import_zip
from firstcrop.problems import Problem
from firstcrop.store.backup import back_up, restore
from firstcrop.store.engine import Store
from firstcrop.store.urls import chosen_url


def _there(name: str, force: bool) -> Problem | None:
    if not Path(name).exists() or force:
        return None
    hint = "choose another name, or say --force to replace it"
    return Problem("file.exists", f"“{name}” exists and is left as it is", hint=hint)


def _said(count: int | Problem, words: str) -> int | Problem:
    """How many of what were moved, told on standard error."""
    if isinstance(count, Problem):
        return count
    print(f"{count} {words}", file=sys.stderr)
    return int(Exit.FINE)


def export(where: Where, file: str, force: bool) -> int:
    """Every run into a zip of plain files."""
    return in_notebook(
        where,
        lambda store: (
            _there(file, force) or _said(export_zip(store, Path(file)), f"run(s) written to {file}")
        ),
    )


def bring_in(where: Where, file: str) -> int:
    """The runs of a zip."""
    return in_notebook(
        where, lambda store: _said(import_zip(store, Path(file)), "run(s) taken in"), make=True
    )


def backup(where: Where, file: str, force: bool) -> int:
    """The whole database into one file."""
    return in_notebook(
        where,
        lambda store: (
            _there(file, force) or _said(back_up(store, Path(file)), f"rows written to {file}")
        ),
    )


def bring_back(where: Where, file: str) -> int:
    """A backup into an empty database."""
    done = _said(restore(Path(file), chosen_url(*where)), "rows restored")
    return asking.complain(done) if isinstance(done, Problem) else done


def observed(where: Where, id: str, output: str | None, force: bool) -> int:
    """The sheet of a run with its `## Observed`."""

    def work(store: Store, found: Found) -> int | Problem:
        run, entries = found
        text = with_observed(run.sheet, entries)
        if output is None:
            sys.stdout.write(text)
            return int(Exit.FINE)
        return _written(text.encode(), output, force)

    return with_run(where, id, work)


def paper_of_run(where: Where, kind: str, id: str, output: str, force: bool) -> int:
    """A report, a run sheet or labels of a run."""

    def work(store: Store, found: Found) -> int | Problem:
        run, entries = found
        bottles = asking.shelf_bottles(run.sheet, where)
        if isinstance(bottles, Problem):
            return bottles
        made: bytes | Problem
        if kind == "report":
            studied = study(run.sheet, load_bank(), bottles)
            made = desk.report_pdf(store, run, entries, studied, bottles)
        elif kind == "labels":
            made = desk.labels_pdf(run.sheet, f"run {run.id}", run.begun[:10], run.who, bottles)
        else:
            made = desk.run_sheet_pdf(run.sheet, date.today().isoformat(), bottles)
        return _written(made, output, force)

    return with_run(where, id, work)


def paper_of_sheet(sheet: str, kind: str, output: str, force: bool) -> int:
    """A run sheet or labels of a sheet that is not being run."""
    text = read_text(sheet)
    if isinstance(text, Problem):
        return asking.complain(text)
    bottles = asking.shelf_bottles(text, (Path(sheet).parent, None))
    if isinstance(bottles, Problem):
        return asking.complain(bottles)
    today = date.today().isoformat()
    if kind == "labels":
        made = desk.labels_pdf(text, f"sheet {Path(sheet).name}", today, bottles=bottles)
    else:
        made = desk.run_sheet_pdf(text, today, bottles)
    done = _written(made, output, force)
    return asking.complain(done) if isinstance(done, Problem) else done


def _written(content: bytes | Problem, output: str, force: bool) -> int | Problem:
    if isinstance(content, Problem):
        if content.code != "papers.refused":
            return content
        print(content.message, file=sys.stderr)
        return int(Exit.REFUSED)
    problem = write_whole(output, content, force)
    if problem is None:
        print(f"Written to {output}", file=sys.stderr)
    return problem or int(Exit.FINE)
