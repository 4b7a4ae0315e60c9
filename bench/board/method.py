"""The block of docs/method.md that says how the board finds each law."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from .page import Split, figures, table
from .score import Result, score
from .tables import FAMILIES

_LAWS = Path(__file__).with_name("laws.tsv")
BEGIN, END = "<!-- board: written by `make board` -->", "<!-- end of board -->"
_WHOLE = (  # what no single law answers for, and where the board looks at it
    ("Pitzer's equation, single salts", "activity"),
    ("activity beyond the fitted range", "activity beyond"),
    ("anchored solids, common ions", "solubility_mixed"),
    ("anchored solids, other sources than their curves", "solubility"),
    ("water over saturated solutions", "gases/humidity"),
    ("carbon dioxide in water and salt solutions", "gases/carbon_dioxide"),
    ("Young's rule: sea water's density", "density/seawater"),
    ("Young's rule: sea water's heat capacity", "heat_capacity/seawater"),
    ("enthalpy: dissolving and diluting", "heat_of_solution"),
    ("enthalpy: reactions, temperature rises", "calorimetry"),
)


def write_method(path: Path, families: Mapping[str, Split]) -> None:
    """Replace the block between its marks."""
    text = path.read_text(encoding="utf-8")
    head, _, rest = text.partition(BEGIN)
    _, _, tail = rest.partition(END)
    block = "\n".join(["", "", *_lines(families), "", ""])
    path.write_text(head + BEGIN + block + END + tail, encoding="utf-8")


def _lines(families: Mapping[str, Split]) -> list[str]:
    lines = _LAWS.read_text(encoding="utf-8").splitlines()[2:]
    laws = [tuple(line.split("\t")) for line in lines]
    rows = [[f"`{law}`", *_found(where, families)] for law, where in laws]
    rows += [[what, *_found(where, families)] for what, where in _WHOLE]
    return table(("what", "the board's table", "values", "median", "95th percentile"), rows)


def _found(where: str, families: Mapping[str, Split]) -> list[str]:
    if not where:
        return ["none: no published value of it on the board", "", "", ""]
    place, _, beyond = where.partition(" ")
    family, _, name = place.partition("/")
    part = families[family]
    chosen: tuple[Result, ...] = part.beyond if beyond else part.checked
    kept = [r for r in chosen if not name or r.row.file == name]
    said = (
        dict(FAMILIES)[family] + (f", {name}" if name else "") + (f", {beyond}" if beyond else "")
    )
    if not kept:
        kept = [r for r in part.fit if r.row.file == name]
        said += " (fit)"
    found = score(kept)
    return [said, str(len(kept)), *figures(found)[:2]]
