"""What the shelf commands do: open the shelf, ask it, print the answer."""

from __future__ import annotations

import json
import sys
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from firstcrop.bank.bank import Bank, load_bank
from firstcrop.cli import asking
from firstcrop.cli.exits import Exit
from firstcrop.cli.files import read_text, write_whole
from firstcrop.cli.shelf_pages import age_page, bottle_page, bottles_page, print_page
from firstcrop.cli.shelf_store import shelf_of
from firstcrop.problems import Problem
from firstcrop.shelf import bottles
from firstcrop.shelf.amounts import amount_in
from firstcrop.shelf.csv_file import cells_of, export_csv, import_csv
from firstcrop.shelf.entering import hazard_words, read_bottle, written
from firstcrop.shelf.law import notices, place_of, set_place
from firstcrop.shelf.records import Bottle, Draw, Level, Today
from firstcrop.shelf.sheets import draw_for, everything, told
from firstcrop.shelf.today import strength_today
from firstcrop.store.engine import Store
from firstcrop.views.shelf import (
    BottleRow,
    assay_row,
    bottle_row,
    draw_row,
    level_sentence,
    show_strength,
)

Where = tuple[Path, str | None]
AHEAD = (0, 30, 91, 182, 365)  # d


def dumped(rows: Any) -> str:
    """Rows as JSON."""
    return json.dumps(rows, ensure_ascii=False, indent=1)


def row_of(store: Store, today: Today, bank: Bank) -> BottleRow:
    """A bottle as a row, with the law's notices at its strength."""
    warnings = hazard_words(today.level.bottle.hazards)
    return bottle_row(today, notices(today, bank, place_of(store)), warnings)


def add(where: Where, cells: Mapping[str, str], as_json: bool) -> int:
    """Put a bottle on the shelf."""
    bank = load_bank()
    made = read_bottle(cells, bank)
    if not isinstance(made, Bottle):
        return asking.complain(*made)
    with shelf_of(*where) as store:
        if isinstance(store, Problem):
            return asking.complain(store)
        kept = bottles.add_bottle(store, made)
        return kept_page(store, kept, bank, as_json)


def kept_page(store: Store, kept: Bottle | Problem, bank: Bank, as_json: bool) -> int:
    """Print a bottle that was kept, or why it was not."""
    today = kept if isinstance(kept, Problem) else told(store, kept.name, bank)
    if isinstance(today, Problem):
        return asking.complain(today)
    row = row_of(store, today, bank)
    print(dumped(asdict(row))) if as_json else print_page(bottle_page(row, (), ()))
    return int(Exit.FINE)


def change(where: Where, name: str, cells: Mapping[str, str], as_json: bool) -> int:
    """Change what is written about a bottle."""
    bank = load_bank()
    with shelf_of(*where) as store:
        if isinstance(store, Problem):
            return asking.complain(store)
        level = bottles.find_level(store, name)
        if isinstance(level, Problem):
            return asking.complain(level)
        made = read_bottle({**cells_of(level), **cells}, bank, level.bottle)
        if not isinstance(made, Bottle):
            return asking.complain(*made)
        kept = bottles.change_bottle(store, name, level.bottle.edition, **written(made))
        return kept_page(store, kept, bank, as_json)


def show_all(where: Where, as_json: bool) -> int:
    """Every bottle."""
    bank = load_bank()
    with shelf_of(*where) as store:
        if isinstance(store, Problem):
            return asking.complain(store)
        rows = [row_of(store, today, bank) for today in everything(store, bank, date.today())]
    print(dumped([asdict(r) for r in rows])) if as_json else print_page(bottles_page(rows))
    return int(Exit.FINE)


def show_one(where: Where, name: str, as_json: bool) -> int:
    """One bottle in full."""
    bank = load_bank()
    with shelf_of(*where) as store:
        if isinstance(store, Problem):
            return asking.complain(store)
        today = told(store, name, bank)
        if isinstance(today, Problem):
            return asking.complain(today)
        drawn, assayed = bottles.draws(store, name), bottles.assays(store, name)
        row = row_of(store, today, bank)
    assert not isinstance(drawn, Problem)
    assert not isinstance(assayed, Problem)
    drawings = [draw_row(d, today.level.bottle.unit) for d in drawn]
    if as_json:
        found = {**asdict(row), "draws": [asdict(d) for d in drawings],
                 "assays": [asdict(a) for a in assayed]}  # fmt: skip
        print(dumped(found))
    else:
        print_page(bottle_page(row, drawings, [assay_row(a) for a in assayed]))
    return int(Exit.FINE)


def draw(where: Where, name: str, amount: str | None, **rest: Any) -> int:
    """Draw from a bottle, put back, or set what is left."""
    bank = load_bank()
    with shelf_of(*where) as store:
        if isinstance(store, Problem):
            return asking.complain(store)
        today = told(store, name, bank)
        if isinstance(today, Problem):
            return asking.complain(today)
        wanted = amount_in(amount or rest["left"], today, bank)
        if isinstance(wanted, Problem):
            return asking.complain(wanted)
        if wanted < 0.0 or (amount and wanted == 0.0):
            return asking.complain(Problem("shelf.amount", "how much? the amount is nothing"))
        if rest["left"]:
            wanted = today.level.left - wanted
        taken = Draw(uuid.uuid4().hex, "", rest["who"], -wanted if rest["back"] else wanted,
                     rest["purpose"], "counted" if rest["left"] else "")  # fmt: skip
        return drawn_page(bottles.draw(store, name, taken), rest["as_json"])


def drawn_page(level: Level | Sequence[Level] | Problem, as_json: bool) -> int:
    """Print what is left after a draw, or why there was none."""
    if isinstance(level, Problem):
        return asking.complain(level)
    after = (level,) if isinstance(level, Level) else level
    if as_json:
        print(
            dumped([{"name": x.bottle.name, "left": x.left, "unit": x.bottle.unit} for x in after])
        )
    else:
        print("\n".join(level_sentence(x) for x in after))
    return int(Exit.FINE)


def draw_for_sheet(where: Where, sheet: str, run: str | None, who: str, **rest: Any) -> int:
    """Draw what the run of a sheet takes, once for a run."""
    forecast = asking.forecast_of(sheet, where)
    if asking.exit_of(forecast) in (Exit.USAGE, Exit.REFUSED):
        return asking.complain(*forecast.problems) if forecast.problems else int(Exit.REFUSED)
    key = f"{Path(sheet).stem} {run or datetime.now(UTC).date().isoformat()}"[:60]
    with shelf_of(*where) as store:
        if isinstance(store, Problem):
            return asking.complain(store)
        return drawn_page(draw_for(store, forecast, who, Path(sheet).name, key), rest["as_json"])


def bring_in(where: Where, file: str, as_json: bool) -> int:
    """Add the bottles of a CSV file."""
    text = read_text(file)
    if isinstance(text, Problem):
        return asking.complain(text)
    with shelf_of(*where) as store:
        if isinstance(store, Problem):
            return asking.complain(store)
        done = import_csv(store, text, load_bank())
    if done.problems:
        print("Nothing was added.", file=sys.stderr)
        return asking.complain(*done.problems, lines=text.splitlines())
    names = [b.name for b in done.added]
    if as_json:
        print(dumped({"added": names, "alike": list(done.alike)}))
    else:
        print(f"Added: {', '.join(names) or 'none'}.")
        if done.alike:
            print(f"There already: {', '.join(done.alike)}.")
    return int(Exit.FINE)


def bring_out(where: Where, output: str | None, force: bool) -> int:
    """The shelf as CSV."""
    with shelf_of(*where) as store:
        if isinstance(store, Problem):
            return asking.complain(store)
        text = export_csv(store)
    if output is None:
        sys.stdout.write(text)
        return int(Exit.FINE)
    problem = write_whole(output, text.encode(), force)
    return asking.complain(problem) if problem else int(Exit.FINE)


def age(where: Where, name: str, as_json: bool) -> int:
    """Strength today and over the coming year."""
    bank, day = load_bank(), date.today()
    with shelf_of(*where) as store:
        if isinstance(store, Problem):
            return asking.complain(store)
        level = bottles.find_level(store, name)
    if isinstance(level, Problem):
        return asking.complain(level)
    found = [(day + timedelta(n), strength_today(level, bank, day + timedelta(n))) for n in AHEAD]
    rows = [(d.isoformat(), show_strength(t.strength), t.titrate) for d, t in found]
    if as_json:
        print(dumped({"name": level.bottle.name, "how": found[0][1].note,
                      "strength": [dict(zip(("on", "strength", "titrate"), r, strict=True))
                                   for r in rows]}))  # fmt: skip
    else:
        print_page(age_page(level.bottle.name, found[0][1].note, rows))
    return int(Exit.FINE)


def law(where: Where, place: str | None) -> int:
    """Say whose law holds for this shelf, or tell."""
    with shelf_of(*where) as store:
        if isinstance(store, Problem):
            return asking.complain(store)
        told = set_place(store, place) if place else place_of(store)
    if isinstance(told, Problem):
        return asking.complain(told)
    print(f"The law of this shelf: {told or 'not said, so every list is told'}.")
    return int(Exit.FINE)
