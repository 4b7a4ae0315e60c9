"""Doing better next time: lessons into the sheet, advice, runs compared, a designed set."""

from __future__ import annotations

import csv
import io
import math
import sys
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from firstcrop.account.advise import Change
from firstcrop.account.advise import advise as advised
from firstcrop.account.compare import Compared
from firstcrop.account.compare import compare as compared
from firstcrop.account.designed import RUNS, Factor, effects, factor, planned
from firstcrop.account.of_run import account_of
from firstcrop.account.records import Lesson
from firstcrop.account.use import used
from firstcrop.bank.bank import load_bank
from firstcrop.cli import asking
from firstcrop.cli.exits import Exit
from firstcrop.cli.files import read_text, write_whole
from firstcrop.cli.notebook_doing import BRIEF, shown
from firstcrop.cli.notebook_store import SHOWN, Found, Where, in_notebook, run_named
from firstcrop.cli.shelf_pages import table
from firstcrop.cli.waiting import forecast_message, waiting
from firstcrop.notebook.records import Run
from firstcrop.problems import Problem
from firstcrop.store.engine import Store
from firstcrop.views.numbers import show_number, show_value

SMALL = 1e-3  # of theory or of purity; less is not worth a line
PLAN = "design.csv"


def use(where: Where, run: Run, lessons: Sequence[Lesson]) -> int | Problem:
    """Write what was learned into the run's sheet in the folder, in one move."""
    folder = where[0].resolve()
    path = (folder / run.sheet_name).resolve()
    if folder not in path.parents or path.suffix != ".md":
        return Problem("learn.sheet", f"the run names no sheet of this folder: {run.sheet_name}")
    text = read_text(str(path))
    if isinstance(text, Problem):
        return text
    if text.rstrip() != run.sheet.rstrip():
        hint = "write the figures in yourself, or keep the run's own sheet: notebook observed"
        return Problem("learn.changed", f"{run.sheet_name} was changed since the run", hint=hint)
    found = used(text, lessons)
    for label in found.only_told:
        print(f"No line of a sheet carries this, so it is only told: {label}", file=sys.stderr)
    if not found.written:
        print("There is nothing to write into the sheet.", file=sys.stderr)
        return int(Exit.FINE)
    problem = write_whole(str(path), found.text.encode(), force=True)
    if problem:
        return problem
    print(f"Written to {run.sheet_name}: {'; '.join(found.written)}", file=sys.stderr)
    return int(Exit.FINE)


def advise(sheet: str, as_json: bool) -> int:
    """What to change in a sheet, the largest gain in yield first."""
    text = read_text(sheet)
    if isinstance(text, Problem):
        return asking.complain(text)
    bottles = asking.shelf_bottles(text, (Path(sheet).parent, None))
    if isinstance(bottles, Problem):
        return asking.complain(bottles)
    with waiting(forecast_message()):
        found = advised(text, load_bank(), bottles)
    if isinstance(found, Problem):
        if found.code != "advise.refused":
            return asking.complain(found)
        print(found.message, file=sys.stderr)
        return int(Exit.REFUSED)
    kept = [c for c in found if max(abs(c.yield_gain), abs(c.purity_gain)) > SMALL]
    lines = [_change(c) for c in kept]
    page = table(("change", "yield, of theory", "dry crop", "purity", "but"), lines)
    rows = [asdict(c) | {"mass_gain": _plain(c.mass_gain), "yield_gain": _plain(c.yield_gain),
                         "purity_gain": _plain(c.purity_gain)} for c in found]  # fmt: skip
    return shown(rows, page or ["No number of the sheet changes the crop noticeably."], as_json)


def _plain(number: float) -> float | None:
    return number if math.isfinite(number) else None


def _change(change: Change) -> tuple[str, ...]:
    of = change.turned
    what = f"{of.where}, {of.label}: {of.value:.4g} → {change.value:.4g} {of.unit}".rstrip()
    return (what, f"{100 * change.yield_gain:+.1f} %", f"{1e3 * change.mass_gain:+.2f} g",
            f"{100 * change.purity_gain:+.1f} %", "\n".join(change.breaks[:3]))  # fmt: skip


def compare(where: Where, ids: Sequence[str], as_json: bool) -> int:
    """Runs of one sheet side by side."""

    def work(store: Store) -> int | Problem:
        named = [run_named(store, id) for id in dict.fromkeys(ids)]
        wrong = next((n for n in named if isinstance(n, Problem)), None)
        if wrong:
            return wrong
        with waiting(forecast_message()):
            told = [_accounted(where, n) for n in named if not isinstance(n, Problem)]
        found = compared(told)
        if isinstance(found, Problem):
            return found
        return shown([_plain_run(c) for c in found], _compare_page(found), as_json)

    return in_notebook(where, work)


def _accounted(where: Where, found: Found) -> Any:
    run, entries = found
    bottles = asking.shelf_bottles(run.sheet, where)
    kept = () if isinstance(bottles, Problem) else bottles
    return run, entries, account_of(run.sheet, entries, load_bank(), kept)[1]


def _plain_run(row: Compared) -> dict[str, Any]:
    about = {k: v for k, v in asdict(row.run).items() if k in BRIEF}
    yields = [
        {"crop": y.crop, "basis": y.basis, "fraction": _plain(y.fraction.value)} for y in row.yields
    ]
    return about | {"yields": yields, "peaks": row.peaks, "strengths": row.strengths,
                    "differs": row.differs}  # fmt: skip


def _compare_page(found: Sequence[Compared]) -> list[Any]:
    lines = []
    for row in found:
        yields = "\n".join(
            f"{'all' if y.crop == 0 else f'crop {y.crop}'}, {y.basis}: "
            f"{show_number(y.fraction, 'fraction').full}"
            for y in row.yields
        )
        peaks = "\n".join(f"step {step}: {show_value(k, 'K')}" for step, k in row.peaks)
        differs = "\n".join(row.differs) or "as the first"
        lines.append((row.run.id[:SHOWN], row.run.begun[:10], yields, peaks, differs))
    return list(table(("run", "begun", "yield", "hottest reading", "sheet"), lines))


def design(sheet: str, factors: Sequence[str], folder: str) -> int:
    """Eight sheets of a designed set, and a table for their results, in a new folder."""
    text = read_text(sheet)
    if isinstance(text, Problem):
        return asking.complain(text)
    chosen: list[Factor] = []
    for written in factors:
        one = _factor(text, written)
        if isinstance(one, Problem):
            return asking.complain(one)
        chosen.append(one)
    runs = planned(text, chosen)
    if isinstance(runs, Problem):
        return asking.complain(runs)
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(["run", "sheet", *(f.name for f in chosen), "result"])
    files = {}
    for run in runs:
        name = f"{Path(sheet).stem}-run-{run.number}.md"
        files[name] = run.text.encode()
        writer.writerow([run.number, name, *run.levels, ""])
    files[PLAN] = out.getvalue().encode()
    try:
        Path(folder).mkdir(parents=True)
    except OSError as error:
        hint = "name a new folder"
        return asking.complain(Problem("design.folder", f"{folder}: {error.strerror}", hint=hint))
    for name, content in files.items():
        problem = write_whole(str(Path(folder) / name), content, force=False)
        if problem:
            return asking.complain(problem)
    told = (
        f"{RUNS} sheets and {PLAN} written to {folder}. Do them in a random order; write each "
        "yield under “result”, then ask firstcrop notebook effects."
    )
    print(told, file=sys.stderr)
    return int(Exit.FINE)


def _factor(text: str, written: str) -> Factor | Problem:
    words, _, levels = written.rpartition("=")
    low, _, high = levels.partition("..")
    try:
        return factor(text, words.strip(), float(low), float(high))
    except ValueError:
        hint = "write it as 'time step 3=30..90'"
        return Problem("design.factor", f"“{written}” names no factor and levels", hint=hint)


def effects_of(plan: str) -> int:
    """The main effects of a finished set."""
    text = read_text(plan)
    if isinstance(text, Problem):
        return asking.complain(text)
    rows = list(csv.reader(io.StringIO(text)))
    try:
        names = rows[0][2:-1]
        signs = [[int(cell) for cell in row[2:-1]] for row in rows[1:] if row]
        results = [float(row[-1].replace(",", ".")) for row in rows[1:] if row]
        found = effects(names, signs, results)
    except (ValueError, IndexError):
        hint = "write the result of every run in its last column, as a number"
        found = Problem("design.results", f"“{plan}” holds no finished set", hint=hint)
    if isinstance(found, Problem):
        return asking.complain(found)
    lines = [(e.factor, f"{e.effect:+.3g}", _error(e.error)) for e in found]
    page = table(("from low to high", "changes the result by", "standard error"), lines)
    page.append("An effect may be that of two other factors together: a set of eight runs cannot "
                "tell them apart.")  # fmt: skip
    return shown([], page, as_json=False)


def _error(error: float) -> str:
    return f"{error:.2g}" if math.isfinite(error) else "not known: no column is free"
