"""`firstcrop shelf assay`: find out how strong a material is, with an honest ±."""

from __future__ import annotations

import getpass
from pathlib import Path

import click

Where = tuple[Path, str | None]


@click.group()
def assay() -> None:
    """Assays: readings in, a strength with its uncertainty budget out."""


@assay.command()
@click.argument("file")
@click.option("--method", default="", help="The method, where the file does not name it.")
@click.option("--for", "bottle", default="", metavar="BOTTLE",
              help="Keep the result with this bottle of the shelf.")  # fmt: skip
@click.option("--who", default=getpass.getuser, help="Who did it.")
@click.option("--full", is_flag=True, help="List the sources as well.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_obj
def compute(where: Where, file: str, method: str, bottle: str, who: str, full: bool,
            as_json: bool) -> int:  # fmt: skip
    """Compute the strength from a FILE of readings (Markdown, TSV or CSV); - is standard input."""
    from firstcrop.cli import shelf_assaying

    return shelf_assaying.compute(where, file, method, bottle, who, (full, as_json))


@assay.command()
@click.argument("method")
@click.argument("substance")
@click.argument("strength")
@click.option("--titrant", default="0.1 mol/L", show_default=True, help="What is in the burette.")
@click.option("--burette", default="burette 50 mL A", show_default=True, help="The burette.")
@click.option("--density", default="", help="Of the material, such as 1.15 g/mL.")
@click.option("--solid", is_flag=True, help="The material is a solid, to be weighed.")
@click.option("--plot", metavar="FILE", help="Draw the curve into FILE (.svg, .png or .pdf).")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
def plan(method: str, substance: str, strength: str, titrant: str, burette: str, density: str,
         solid: bool, plot: str | None, as_json: bool) -> int:  # fmt: skip
    """Plan a titration: what sample to take, the curve, which indicator to use.

    As in: plan "acid by alkali" "acetic acid" "5 ± 1 % w/w"
    """
    from firstcrop.cli import shelf_assaying

    asked = shelf_assaying.Asked(method, substance, strength, titrant, burette, density, solid)
    return shelf_assaying.plan(asked, plot, as_json)


@assay.command()
@click.argument("method")
def form(method: str) -> int:
    """Print an empty table of readings for a METHOD, to be filled in."""
    from firstcrop.cli import shelf_assaying

    return shelf_assaying.form_of(method)


@assay.command()
def methods() -> int:
    """List the methods and what each can count."""
    from firstcrop.cli import shelf_assaying

    return shelf_assaying.methods()
