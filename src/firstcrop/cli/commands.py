"""The commands. Each reads a sheet, asks one question and prints the answer."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from firstcrop.cli.exits import Exit
from firstcrop.cli.notebook_commands import notebook, paper
from firstcrop.cli.opening import open_folder
from firstcrop.cli.shelf_commands import shelf

EPILOG = """Exit codes: 0 fine, 1 the sheet has errors, 2 the call is wrong, 3 the sheet asks for
something firstcrop will not plan. A sheet named - is read from standard input."""
PICTURES = (".svg", ".png", ".pdf")


def _version(context: click.Context, parameter: click.Parameter, wanted: bool) -> None:
    if wanted:
        from importlib.metadata import version

        click.echo(f"firstcrop {version('firstcrop')}")
        context.exit()


@click.group(epilog=EPILOG, context_settings={"help_option_names": ["-h", "--help"]})
@click.option("--version", is_flag=True, is_eager=True, expose_value=False, callback=_version,
              help="Print the version and stop.")  # fmt: skip
def group() -> None:
    """Compute a chemical preparation from its written procedure: heat, gas, volume, pH, solids,
    crops and cautions, step by step, each number with its band and its working."""


def _picture(context: click.Context, parameter: click.Parameter, name: str | None) -> str | None:
    if name and Path(name).suffix.lower() not in PICTURES:
        raise click.BadParameter("the picture's name must end in .svg, .png or .pdf")
    return name


group.add_command(open_folder)
group.add_command(shelf)
group.add_command(notebook)
group.add_command(paper)
WIDTH = click.option("--width", type=click.IntRange(40, 400), help="Columns to lay out for.")


@group.command()
@click.argument("sheet")
@click.option("--json", "as_json", is_flag=True, help="Print a JSON document (docs/json.md).")
@click.option("--plot", metavar="FILE", callback=_picture,
              help="Draw the run into FILE (.svg, .png or .pdf), replacing it.")  # fmt: skip
@click.option(
    "--full", "--sources", "full", is_flag=True, help="List every data row the forecast rests on."
)
@click.option("--draws", metavar="N", type=click.IntRange(20, 100_000),
              help="Sample the bands by N runs (about ten a second on two cores).")  # fmt: skip
@WIDTH
def forecast(
    sheet: str, as_json: bool, plot: str | None, full: bool, draws: int | None, width: int | None
) -> int:
    """Forecast SHEET.md step by step."""
    from firstcrop.cli import asking, lines, pages
    from firstcrop.views.report import report

    result = asking.forecast_of(sheet, draws=draws or 0)
    problem = asking.draw(result, plot) if plot else None
    if as_json:
        asking.print_json(result)
    else:
        columns = lines.width_of(width)
        lines.show(pages.report_page(report(result), columns, full), columns)
    if problem:
        return asking.complain(problem)
    return asking.exit_of(result)


@group.command()
@click.argument("sheet")
@click.option("--json", "as_json", is_flag=True, help="Print the problems as JSON.")
@WIDTH
def check(sheet: str, as_json: bool, width: int | None) -> int:
    """Check the language and the names in SHEET.md, and compute nothing."""
    from firstcrop.cli import asking

    return asking.check(sheet, as_json, width)


@group.command()
@click.argument("sheet")
@click.argument("line", type=click.IntRange(1))
@click.argument("what", nargs=-1)
@WIDTH
def explain(sheet: str, line: int, what: tuple[str, ...], width: int | None) -> int:
    """Show the working of every number on a LINE of SHEET.md.

    WHAT narrows it down, as in: explain SHEET.md 34 peak temperature
    """
    from firstcrop.cli import asking

    return asking.explain(sheet, line, " ".join(what), width)


@group.command()
@click.argument("sheet")
@click.option("--to", "product", metavar="MASS", help="Scale to this mass of dry crop.")
@click.option("--have", metavar="NAME=AMOUNT", help="Scale to what is at hand of a material.")
@click.option("--vessel", metavar="VOLUME", help="Scale to a vessel of this size.")
@click.option("-o", "--output", metavar="FILE", help="Write there instead of standard output.")
@click.option("--force", is_flag=True, help="Replace FILE if it exists.")
def scale(
    sheet: str,
    product: str | None,
    have: str | None,
    vessel: str | None,
    output: str | None,
    force: bool,
) -> int:
    """Write SHEET.md scaled to a product mass, a material in hand or a vessel."""
    wanted = [w for w in (product, have, vessel) if w]
    if len(wanted) != 1:
        raise click.UsageError("say one of --to, --have or --vessel")
    from firstcrop.cli import rewriting

    goal = "product" if product else "have" if have else "vessel"
    return rewriting.scale(sheet, goal, wanted[0], output, force)


@group.command()
@click.argument("sheet")
@click.option("-o", "--output", metavar="FILE", help="Write there instead of standard output.")
@click.option("--force", is_flag=True, help="Replace FILE if it exists.")
def fill(sheet: str, output: str | None, force: bool) -> int:
    """Write SHEET.md with its blanks filled in."""
    from firstcrop.cli import rewriting

    return rewriting.fill(sheet, output, force)


def usage(message: str) -> int:
    """Say what is wrong with the call."""
    print(message, file=sys.stderr)
    return int(Exit.USAGE)
