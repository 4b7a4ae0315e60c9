"""What the notebook commands tell: runs, entries, account, lessons."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from firstcrop.account.study import study
from firstcrop.account.watch import watch
from firstcrop.bank.bank import load_bank
from firstcrop.cli import asking
from firstcrop.cli.exits import Exit
from firstcrop.cli.notebook_store import SHOWN, Found, Where, in_notebook, with_run
from firstcrop.cli.shelf_pages import print_page, table
from firstcrop.cli.waiting import forecast_message, waiting
from firstcrop.desk import run_account
from firstcrop.notebook import book
from firstcrop.problems import Problem
from firstcrop.store.engine import Store
from firstcrop.views.account import AccountRows, account_rows
from firstcrop.views.bench import alarm_rows, entry_rows, lesson_rows

BRIEF = ("id", "title", "sheet_name", "begun", "who", "entries", "head")
BOUNDS = "The bounds in brackets hold 90 %."


def shown(rows: Any, page: Sequence[Any], as_json: bool) -> int:
    """Rows as JSON, or their page."""
    if as_json:
        print(json.dumps(rows, ensure_ascii=False, indent=1))
    else:
        print_page(list(page))
    return int(Exit.FINE)


def show_all(where: Where, as_json: bool) -> int:
    """Every run, one a line."""

    def work(store: Store) -> int:
        rows = [{k: v for k, v in asdict(r).items() if k in BRIEF} for r in book.runs(store)]
        lines = [
            (r["id"][:SHOWN], _moment(r["begun"]), r["title"], r["who"],
             str(r["entries"]))
            for r in rows
        ]  # fmt: skip
        page = table(("run", "begun (UTC)", "sheet", "who", "entries"), lines)
        return shown(rows, page or ["No run yet. Begin one: firstcrop open"], as_json)

    return in_notebook(where, work)


def show_one(where: Where, id: str, as_json: bool) -> int:
    """A run with its entries."""

    def work(store: Store, found: Found) -> int:
        run, entries = found
        rows = entry_rows(entries)
        lines = [
            (str(r.number), _moment(r.at), str(r.step or ""), r.kind,
             r.text + _struck(r.stands, r.reason), r.who)
            for r in rows
        ]  # fmt: skip
        about = {k: v for k, v in asdict(run).items() if k in BRIEF}
        page = [
            f"{run.title}, begun {run.begun} by {run.who}",
            f"run {run.id}, {run.entries} entries, last digest {run.head}",
            *table(("no.", "time", "step", "kind", "what", "who"), lines),
        ]
        return shown(about | {"entry_rows": [asdict(r) for r in rows]}, page, as_json)

    return with_run(where, id, work)


def _moment(at: str) -> str:
    return at[:16].replace("T", " ")


def _struck(stands: bool, reason: str) -> str:
    said = "" if stands else " (corrected later)"
    return f"{said} (because: {reason})" if reason else said


def verify(where: Where, id: str) -> int:
    """Whether the chain of a run, or of every run, holds."""

    def one(store: Store, run_id: str) -> int | Problem:
        wrong = book.verify(store, run_id)
        said = f"not as recorded: {wrong.message}. {wrong.hint}" if wrong else "as recorded"
        print(f"{run_id[:SHOWN]} {said}")
        return int(Exit.ERRORS if wrong else Exit.FINE)

    def every(store: Store) -> int | Problem:
        codes = [one(store, run.id) for run in book.runs(store)]
        return int(Exit.ERRORS) if any(codes) else int(Exit.FINE)

    if id:
        return with_run(where, id, lambda store, found: one(store, found[0].id))
    return in_notebook(where, every)


def account(where: Where, id: str, as_json: bool) -> int:
    """The account of a run."""

    def work(store: Store, found: Found) -> int | Problem:
        run, entries = found
        bottles = asking.shelf_bottles(run.sheet, where)
        if isinstance(bottles, Problem):
            return bottles
        with waiting(forecast_message()):
            told, made = run_account(store, run, entries, bottles)
        if told.refused:
            print(told.refused)
            return int(Exit.REFUSED)
        rows = account_rows(made)
        return shown(asdict(rows), _account_page(rows), as_json)

    return with_run(where, id, work)


def _account_page(rows: AccountRows) -> list[Any]:
    yields = [(str(y.crop or "all"), y.basis, y.mass, y.fraction) for y in rows.yields]
    shares = [(s.where, s.known, s.mass, s.fraction) for s in rows.shares]
    page: list[Any] = [f"{rows.product}, theory {rows.theory}. {BOUNDS}"]
    page += [f"{v.message}. {v.hint}" for v in rows.verdicts]
    page += table(("crop", "basis", "target", "of theory"), yields) or ["No crop was weighed."]
    page += table(("where the target is", "known by", "mass", "of theory"), shares)
    page += [f"{f.name}: {f.shown}" for f in rows.figures]
    return page + ([rows.second_crop] if rows.second_crop else [])


def learn(where: Where, id: str, use: bool, as_json: bool) -> int:
    """What a run's readings teach; with `use`, into its sheet with it."""
    from firstcrop.cli import notebook_better

    def work(store: Store, found: Found) -> int | Problem:
        run, entries = found
        bottles = asking.shelf_bottles(run.sheet, where)
        if isinstance(bottles, Problem):
            return bottles
        with waiting(forecast_message()):
            studied = study(run.sheet, load_bank(), bottles)
        if isinstance(studied, Problem):
            return studied
        watched = watch(studied, entries)
        lessons, alarms = lesson_rows(watched.learned.lessons), alarm_rows(watched.alarms)
        rows = {"lessons": [asdict(x) for x in lessons], "outside": [asdict(a) for a in alarms]}
        page = table(("input", "before", "after the readings"),
                     [(x.label, x.before, x.after) for x in lessons])  # fmt: skip
        page = page or ["The readings narrow no input by a tenth or more."]
        page += table(("outside its band", "read", "forecast", "it may mean"),
                      [(a.entry, a.read, a.forecast, a.means) for a in alarms])  # fmt: skip
        code = shown(rows, page, as_json)
        return notebook_better.use(where, run, watched.learned.lessons) if use else code

    return with_run(where, id, work)
