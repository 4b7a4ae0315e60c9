"""firstcrop shelf: the commands; what they do is in shelf_doing, how it looks in shelf_pages."""

from __future__ import annotations

import getpass
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click
from click.core import ParameterSource

from firstcrop.cli.shelf_assay import assay
from firstcrop.cli.shelf_safety import apart, label

CELLS = ("strength", "size", "lot", "price", "bought", "made", "opened", "stored at",
         "temperature", "hazards", "notes")  # fmt: skip
HELP = {
    "strength": "The label's claim, with its tolerance: '37 ± 1 % w/w'.",
    "size": "How much is in it: '1 L', '500 g'.",
    "price": "Of the whole bottle: '9.80 EUR'.",
    "stored at": "Where it stands.",
    "temperature": "Of that place: '15 °C'.",
    "hazards": "Codes of the label: 'H314 H290'.",
}.items()
Where = tuple[Path, str | None]
JSON = click.option("--json", "as_json", is_flag=True, help="Print JSON.")


@click.group()
@click.option("--folder", default=".", type=click.Path(path_type=Path), show_default=True,
              help="The folder whose shelf it is.")  # fmt: skip
@click.option("--db", metavar="URL", help="A database instead of the folder's "
              "(sqlite:///FILE, postgresql://HOST/NAME); FIRSTCROP_DB does the same.")  # fmt: skip
@click.pass_context
def shelf(context: click.Context, folder: Path, db: str | None) -> None:
    """Keep bottles: what is in them, how strong they are today, what they cost."""
    context.obj = (folder, db)


for command in (assay, label, apart):
    shelf.add_command(command)


def _cells(command: Callable[..., Any]) -> Callable[..., Any]:
    """An option for each cell of a bottle."""
    told = dict(HELP)
    for cell in reversed(CELLS):
        name = cell.replace(" ", "-")
        command = click.option(f"--{name}", metavar="TEXT", help=told.get(cell))(command)
    return command


def _written(options: dict[str, str | None]) -> dict[str, str]:
    return {key.replace("_", " "): text for key, text in options.items() if text is not None}


def _beside(context: click.Context, sheet: str) -> Where:
    """The shelf that was named, else that of the sheet's own folder, as for `forecast`."""
    where: Where = context.obj
    above = context.parent
    named = (
        above is not None and above.get_parameter_source("folder") is ParameterSource.COMMANDLINE
    )
    return where if named else (Path(sheet).parent, where[1])


WHO = click.option("--who", default=getpass.getuser, help="Who is at the shelf.")


@shelf.command()
@click.argument("name")
@click.argument("product")
@_cells
@JSON
@click.pass_obj
def add(where: Where, /, name: str, product: str, as_json: bool,
        **options: str | None) -> int:  # fmt: skip
    """Put a bottle on the shelf: NAME as sheets call it, PRODUCT as sold."""
    from firstcrop.cli import shelf_doing

    return shelf_doing.add(where, {"name": name, "product": product, **_written(options)}, as_json)


@shelf.command()
@click.argument("name")
@_cells
@JSON
@click.pass_obj
def change(where: Where, /, name: str, as_json: bool,
           **options: str | None) -> int:  # fmt: skip
    """Change what is written about a bottle."""
    from firstcrop.cli import shelf_doing

    return shelf_doing.change(where, name, _written(options), as_json)


@shelf.command("list")
@JSON
@click.pass_obj
def list_(where: Where, as_json: bool) -> int:
    """Every bottle, what is left in it, and its strength today."""
    from firstcrop.cli import shelf_doing

    return shelf_doing.show_all(where, as_json)


@shelf.command()
@click.argument("name")
@JSON
@click.pass_obj
def show(where: Where, name: str, as_json: bool) -> int:
    """One bottle in full, with its draws, its assays and the law's notices."""
    from firstcrop.cli import shelf_doing

    return shelf_doing.show_one(where, name, as_json)


@shelf.command()
@click.argument("name", required=False)
@click.argument("amount", required=False)
@click.option("--sheet", type=click.Path(), help="Draw what a run of this sheet takes.")
@click.option("--run", help="Name of the run, so that it draws once.  [default: the day]")
@click.option("--left", metavar="AMOUNT", help="Set what is left, by counting.")
@click.option("--back", is_flag=True, help="Put AMOUNT back.")
@click.option("--for", "purpose", default="", help="What it is for.")
@WHO
@JSON
@click.pass_context
def draw(context: click.Context, /, name: str | None, amount: str | None, **rest: Any) -> int:
    """Draw AMOUNT from the bottle NAME, or all that a run of --sheet takes."""
    from firstcrop.cli import shelf_doing

    if rest["sheet"] and not (name or amount or rest["left"]):
        return shelf_doing.draw_for_sheet(_beside(context, rest["sheet"]), **rest)
    if not name or bool(amount) == bool(rest["left"]) or rest["sheet"]:
        raise click.UsageError("say NAME AMOUNT, NAME --left AMOUNT, or --sheet SHEET.md")
    return shelf_doing.draw(context.obj, name, amount, **rest)


@shelf.command("import")
@click.argument("file")
@JSON
@click.pass_obj
def import_(where: Where, file: str, as_json: bool) -> int:
    """Add the bottles of a CSV FILE, all or none; - is standard input."""
    from firstcrop.cli import shelf_doing

    return shelf_doing.bring_in(where, file, as_json)


@shelf.command()
@click.option("-o", "--output", metavar="FILE", help="Write there instead of standard output.")
@click.option("--force", is_flag=True, help="Replace FILE if it exists.")
@click.pass_obj
def export(where: Where, output: str | None, force: bool) -> int:
    """Write the shelf as CSV; import reads it back."""
    from firstcrop.cli import shelf_doing

    return shelf_doing.bring_out(where, output, force)


@shelf.command()
@click.argument("name")
@JSON
@click.pass_obj
def age(where: Where, name: str, as_json: bool) -> int:
    """The strength of a bottle today and over the coming year."""
    from firstcrop.cli import shelf_doing

    return shelf_doing.age(where, name, as_json)


@shelf.command()
@click.argument("place", required=False)
@click.pass_obj
def law(where: Where, place: str | None) -> int:
    """Say whose law holds for this shelf: a country, EU, UK, or anywhere."""
    from firstcrop.cli import shelf_doing

    return shelf_doing.law(where, place)


@shelf.command()
@click.argument("name")
@click.argument("strength")
@click.option("--amount", default="1 L", show_default=True, help="How much: '500 mL', '1 kg'.")
@click.option("--of", metavar="SUBSTANCE", help="Counted as this, as of another hydrate.")
@click.option("-o", "--output", metavar="FILE", help="Write the recipe as a sheet, too.")
@click.option("--force", is_flag=True, help="Replace FILE if it exists.")
@JSON
@click.pass_obj
def stock(where: Where, /, name: str, strength: str, amount: str,
          **rest: Any) -> int:  # fmt: skip
    """How to make a solution of STRENGTH from the bottle NAME.

    As in: shelf stock "acid 1" "2 mol/L" --amount "500 mL"
    """
    from firstcrop.cli import shelf_making

    return shelf_making.stock(where, name, strength, amount, **rest)


@shelf.command()
@click.argument("sheet")
@click.option("--runs", type=click.IntRange(1), default=1, help="What to buy for so many runs.")
@JSON
@click.pass_context
def cost(context: click.Context, sheet: str, runs: int, as_json: bool) -> int:
    """What a run of SHEET.md costs, what limits the next one, what to buy."""
    from firstcrop.cli import shelf_making

    return shelf_making.cost(_beside(context, sheet), sheet, runs, as_json)


@shelf.command()
@click.argument("sheet")
@JSON
@click.pass_context
def check(context: click.Context, sheet: str, as_json: bool) -> int:
    """Whether the bottles of SHEET.md hold enough, and which to titrate first."""
    from firstcrop.cli import shelf_making

    return shelf_making.check(_beside(context, sheet), sheet, as_json)
