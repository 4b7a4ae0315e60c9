"""firstcrop notebook, firstcrop paper: the commands; what they do is in notebook_doing."""

from __future__ import annotations

from pathlib import Path

import click

Where = tuple[Path, str | None]
JSON = click.option("--json", "as_json", is_flag=True, help="Print JSON.")
FORCE = click.option("--force", is_flag=True, help="Replace FILE if it exists.")
OUTPUT = click.option("-o", "--output", metavar="FILE", required=True, help="The PDF to write.")


@click.group()
@click.option("--folder", default=".", type=click.Path(path_type=Path), show_default=True,
              help="The folder whose notebook it is.")  # fmt: skip
@click.option("--db", metavar="URL", help="A database instead of the folder's "
              "(sqlite:///FILE, postgresql://HOST/NAME); FIRSTCROP_DB does the same.")  # fmt: skip
@click.pass_context
def notebook(context: click.Context, folder: Path, db: str | None) -> None:
    """Runs kept at the bench: what was read, what came of it, what to do better.

    ID is the number `list` shows; its first few characters are enough.
    """
    context.obj = (folder, db)


@notebook.command("list")
@JSON
@click.pass_obj
def list_(where: Where, as_json: bool) -> int:
    """Every run, the latest first."""
    from firstcrop.cli import notebook_doing

    return notebook_doing.show_all(where, as_json)


@notebook.command()
@click.argument("id")
@JSON
@click.pass_obj
def show(where: Where, /, id: str, as_json: bool) -> int:
    """A run and its entries, in the order they came."""
    from firstcrop.cli import notebook_doing

    return notebook_doing.show_one(where, id, as_json)


@notebook.command()
@click.argument("id", required=False)
@click.pass_obj
def verify(where: Where, /, id: str | None) -> int:
    """Whether a run, or every run, is as it was recorded."""
    from firstcrop.cli import notebook_doing

    return notebook_doing.verify(where, id or "")


@notebook.command()
@click.argument("file")
@FORCE
@click.pass_obj
def export(where: Where, file: str, force: bool) -> int:
    """Write every run as plain files into one zip (docs/notebook.md)."""
    from firstcrop.cli import notebook_files

    return notebook_files.export(where, file, force)


@notebook.command("import")
@click.argument("file")
@click.pass_obj
def import_(where: Where, file: str) -> int:
    """Take in the runs of an exported zip; those already here are left."""
    from firstcrop.cli import notebook_files

    return notebook_files.bring_in(where, file)


@notebook.command()
@click.argument("file")
@FORCE
@click.pass_obj
def backup(where: Where, file: str, force: bool) -> int:
    """Write the whole database, shelf and notebook, into one file."""
    from firstcrop.cli import notebook_files

    return notebook_files.backup(where, file, force)


@notebook.command()
@click.argument("file")
@click.pass_obj
def restore(where: Where, file: str) -> int:
    """Fill an empty database from a backup."""
    from firstcrop.cli import notebook_files

    return notebook_files.bring_back(where, file)


@notebook.command()
@click.argument("id")
@JSON
@click.pass_obj
def account(where: Where, /, id: str, as_json: bool) -> int:
    """Yield, where the rest went, and what a further crop would give."""
    from firstcrop.cli import notebook_doing

    return notebook_doing.account(where, id, as_json)


@notebook.command()
@click.argument("id")
@click.option("--use", is_flag=True, help="Write it into the run's sheet for the next time.")
@JSON
@click.pass_obj
def learn(where: Where, /, id: str, use: bool, as_json: bool) -> int:
    """What the readings of a run teach about bottles, glass and bench."""
    from firstcrop.cli import notebook_doing

    return notebook_doing.learn(where, id, use, as_json)


@notebook.command()
@click.argument("sheet")
@JSON
def advise(sheet: str, as_json: bool) -> int:
    """What to change in SHEET.md, the largest gain in yield first."""
    from firstcrop.cli import notebook_better

    return notebook_better.advise(sheet, as_json)


@notebook.command()
@click.argument("ids", nargs=-1, required=True)
@JSON
@click.pass_obj
def compare(where: Where, ids: tuple[str, ...], as_json: bool) -> int:
    """Runs of one sheet side by side."""
    from firstcrop.cli import notebook_better

    return notebook_better.compare(where, ids, as_json)


@notebook.command()
@click.argument("sheet")
@click.option("--factor", "factors", multiple=True, required=True, metavar="WORDS=LOW..HIGH",
              help="A number of the sheet and two levels: 'time step 3=30..90'.")  # fmt: skip
@click.option("-o", "--output", metavar="FOLDER", required=True, help="A new folder for them.")
def design(sheet: str, factors: tuple[str, ...], output: str) -> int:
    """Write eight sheets that try up to seven numbers at two levels each."""
    from firstcrop.cli import notebook_better

    return notebook_better.design(sheet, factors, output)


@notebook.command()
@click.argument("plan")
def effects(plan: str) -> int:
    """What each factor did, from the design.csv of a set with its results."""
    from firstcrop.cli import notebook_better

    return notebook_better.effects_of(plan)


@notebook.command()
@click.argument("id")
@click.option("-o", "--output", metavar="FILE", help="Write there instead of standard output.")
@FORCE
@click.pass_obj
def observed(where: Where, /, id: str, output: str | None, force: bool) -> int:
    """The sheet of a run with what was observed filled in."""
    from firstcrop.cli import notebook_files

    return notebook_files.observed(where, id, output, force)


def _paper_command(name: str, about: str) -> None:
    @notebook.command(name, help=about)
    @click.argument("id")
    @OUTPUT
    @FORCE
    @click.pass_obj
    def make(where: Where, /, id: str, output: str, force: bool) -> int:
        from firstcrop.cli import notebook_files

        return notebook_files.paper_of_run(where, name, id, output, force)


_paper_command("report", "The report of a run as PDF: method, readings, charts, account, sources.")
_paper_command("run-sheet", "The sheet of a run to take to the bench, as PDF.")
_paper_command("labels", "Labels of a run's bottles, liquors and crops, as PDF.")


@click.command()
@click.argument("sheet")
@click.option("--run-sheet", "kind", flag_value="run-sheet", help="What to do, with room to write.")
@click.option("--labels", "kind", flag_value="labels", help="Of its bottles, liquors and crops.")
@OUTPUT
@FORCE
def paper(sheet: str, kind: str | None, output: str, force: bool) -> int:
    """Print SHEET.md as PDF: a run sheet or labels."""
    if kind is None:
        raise click.UsageError("say --run-sheet or --labels")
    from firstcrop.cli import notebook_files

    return notebook_files.paper_of_sheet(sheet, kind, output, force)
