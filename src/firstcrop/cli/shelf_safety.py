"""firstcrop shelf label and apart: a bottle's label; bottles that must not stand together."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

import click

Where = tuple[Path, str | None]


@click.command()
@click.argument("name")
@click.option("-o", "out", metavar="FILE.pdf", help="Set it as a PDF, replacing the file.")
@click.pass_obj
def label(where: Where, /, name: str, out: str | None) -> int:
    """The GHS label of the bottle NAME at its strength today."""
    from firstcrop.bank.bank import load_bank
    from firstcrop.cli import asking, lines
    from firstcrop.cli.files import write_whole
    from firstcrop.cli.reviewing import entries_page
    from firstcrop.cli.shelf_store import shelf_of
    from firstcrop.desk import bottle_label_pdf
    from firstcrop.problems import Problem
    from firstcrop.run import label_of
    from firstcrop.shelf.sheets import told
    from firstcrop.shelf.today import offered
    from firstcrop.views.review import label_entry

    bank = load_bank()
    with shelf_of(*where) as store:
        today = store if isinstance(store, Problem) else told(store, name, bank)
    if isinstance(today, Problem):
        return asking.complain(today)
    bottle = offered(today)
    if out is None:
        columns = lines.width_of(None)
        lines.show(entries_page((label_entry(label_of(bottle, bank)),), columns), columns)
        return 0
    made = bottle_label_pdf(bottle, bank, date.today().isoformat())
    wrong = made if isinstance(made, Problem) else write_whole(out, made, force=True)
    if wrong:
        return asking.complain(wrong)
    print(f"The label is in {out}", file=sys.stderr)
    return 0


@click.command()
@click.pass_obj
def apart(where: Where, /) -> int:
    """Bottles that must not stand together, the gravest pair first."""
    from firstcrop.bank.bank import load_bank
    from firstcrop.cli import asking, lines
    from firstcrop.cli.reviewing import entries_page
    from firstcrop.cli.shelf_store import shelf_of
    from firstcrop.problems import Problem
    from firstcrop.run import shelf_neighbours
    from firstcrop.shelf.sheets import everything
    from firstcrop.shelf.today import offered
    from firstcrop.views.review import pair_entry

    bank = load_bank()
    with shelf_of(*where) as store:
        if isinstance(store, Problem):
            return asking.complain(store)
        bottles = [offered(today) for today in everything(store, bank, date.today())]
    found = shelf_neighbours(bottles, bank)
    columns = lines.width_of(None)
    lines.show(entries_page(tuple(pair_entry(c) for c in found), columns), columns)
    print(NOTHING if not found else SILENCE)
    return 0


NOTHING = "No pair is known that must not stand together. That is not a promise of safety."
SILENCE = "These pairs are those the bank knows; silence about others is no promise of safety."
