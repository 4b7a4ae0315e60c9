"""Measuring ware and how far it may be off (`bank/data/glassware.tsv`): ISO and ASTM classes."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import cache
from types import MappingProxyType

from firstcrop.bank.records import Obtained
from firstcrop.bank.tables import Row, read_table
from firstcrop.problems import UNPLACED, Place, Problem, Severity
from firstcrop.quantity.read import read_quantity
from firstcrop.shelf.gum import Shape, limits

_KINDS = (  # the longer name first
    ("piston pipette", re.compile(r"piston pipette|micropipette|pipettor", re.IGNORECASE)),
    ("digital thermometer", re.compile(r"digital thermometer", re.IGNORECASE)),
    ("flask", re.compile(r"flask|volumetric", re.IGNORECASE)),
    ("pipette", re.compile(r"pipett?e?", re.IGNORECASE)),
    ("burette", re.compile(r"burett?e?", re.IGNORECASE)),
    ("cylinder", re.compile(r"cylinder", re.IGNORECASE)),
    ("balance", re.compile(r"balance|scales?\b", re.IGNORECASE)),
    ("thermometer", re.compile(r"thermometer", re.IGNORECASE)),
    ("hydrometer", re.compile(r"hydrometer|areometer", re.IGNORECASE)),
)
_GRADE = re.compile(r"\b(?:class\s*)?(AS|A|B)\b")
_STANDARD = re.compile(r"\b(ISO|ASTM|DIN)\b", re.IGNORECASE)
_SIZE = re.compile(r"\d[\d.,]*\s*(?:mL|ml|L|l|cm3|µL|uL|mg|g/mL|g|kg|K|°C)(?![^\W_])")
_SCALE = re.compile(r"\bby\s+(\d[\d.,]*)\s*(?:mL|ml)\b")
_SAME = 1e-9  # relative, of sizes
_UNITS = MappingProxyType({"mL": 1e-6, "g": 1e-3, "K": 1.0, "g/mL": 1e3})


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of ware: sizes and limits of error in SI (m3, kg, K, kg/m3)."""

    kind: str
    nominal: float  # capacity; readability of a balance; division of a scale
    tolerance: float  # half-width of what the class allows
    shape: Shape
    unit: str  # of the table, for people
    grade: str = ""
    standard: str = ""
    subdivision: float = 0.0
    obtained: Obtained = Obtained.MEMORY
    source: str = ""
    where: str = ""
    place: Place = field(default=Place(0), compare=False)

    @property
    def u(self) -> float:
        """Standard uncertainty of what it measures, in SI."""
        return limits(self.tolerance, self.shape)

    @property
    def one_mark(self) -> bool:
        """Whether it measures its nominal volume and no other."""
        return self.kind in ("flask", "pipette")


@cache
def load_glassware() -> tuple[Piece, ...]:
    """Every row of the table."""
    return tuple(_piece(row) for row in read_table("glassware"))


def _piece(row: Row) -> Piece:
    unit = _UNITS[row.text("unit")]
    return Piece(
        row.text("kind"),
        unit * (row.number("nominal") or 0.0),
        unit * (row.number("tolerance") or 0.0),
        Shape(row.text("shape")),
        row.text("unit"),
        row.text("grade"),
        row.text("standard"),
        unit * (row.number("subdivision") or 0.0),
        Obtained(row.text("obtained")),
        row.text("source"),
        row.text("where"),
        row.place,
    )


def find_piece(text: str, place: Place = UNPLACED) -> tuple[Piece | None, tuple[Problem, ...]]:
    """The piece called `burette 50 mL A`, `class B flask 250 mL ASTM`, `balance 0.1 mg`.

    Without a class B is taken, and without a standard ISO; a note says so. Codes:
    assay.ware-unknown, assay.ware-size, assay.ware-class.
    """
    kind = next((name for name, word in _KINDS if word.search(text)), "")
    if not kind:
        hint = "Name a burette, pipette, flask, cylinder, balance, hydrometer or thermometer."
        return None, (_problem("ware-unknown", f"'{text}' is no measuring ware.", place, hint),)
    of_kind = [piece for piece in load_glassware() if piece.kind == kind]
    found = _of_size(of_kind, text)
    if not found:
        sizes = ", ".join(dict.fromkeys(_told(p) for p in of_kind))
        message = f"'{text}' does not say one of the known sizes."
        return None, (_problem("ware-size", message, place, f"Sizes: {sizes}."),)
    return _of_grade(found, text, place)


def _of_size(pieces: list[Piece], text: str) -> list[Piece]:
    bare = _SCALE.sub("", text)
    size = _SIZE.search(bare)
    if size is None:
        return pieces if len(pieces) == 1 else []
    read = read_quantity(size[0]) if "K" not in size[0] and "°" not in size[0] else None
    value = float(size[0].rstrip("K°C ")) if read is None else getattr(read, "value", 0.0)
    found = [p for p in pieces if abs(p.nominal - value) <= _SAME * p.nominal]
    scale = _SCALE.search(text)
    if scale:
        step = float(scale[1].replace(",", ".")) * 1e-6
        found = [p for p in found if abs(p.subdivision - step) <= _SAME * step]
    return found


def _of_grade(
    pieces: list[Piece], text: str, place: Place
) -> tuple[Piece | None, tuple[Problem, ...]]:
    said, standard = _GRADE.search(text), _STANDARD.search(text)
    wanted = "ASTM" if standard and standard[1].upper() == "ASTM" else "ISO"
    grades = {p.grade for p in pieces}
    grade = (said[1][0] if said else "B") if grades != {""} else ""
    fitting = [p for p in pieces if p.grade == grade and p.standard in ("", wanted)]
    if not fitting:
        message = f"No {wanted} class {grade} of that size is known."
        return None, (_problem("ware-class", message, place, "Write its limits of error."),)
    worst = max(fitting, key=lambda p: p.tolerance)
    if grade and not said:
        message = f"'{text}' names no class: class B is taken."
        note = Problem("assay.ware-class", message, (place,), "", Severity.NOTE)
        return worst, (note,)
    return worst, ()


def _told(piece: Piece) -> str:
    return f"{piece.nominal / _UNITS[piece.unit]:g} {piece.unit}"


def _problem(code: str, message: str, place: Place, hint: str) -> Problem:
    return Problem(f"assay.{code}", message, (place,) if place.line else (), hint)
