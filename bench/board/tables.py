"""The published values: reading the tables, their sources and the list of known failures."""

from __future__ import annotations

from dataclasses import dataclass
from fnmatch import fnmatchcase
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
TABLES = ROOT / "tests" / "published" / "board"
COLUMNS = (
    "id", "what", "composition", "temperature", "property", "value", "unit", "uncertainty",
    "source", "where", "obtained", "fit", "note",
)  # fmt: skip
FAMILIES = (  # folder, heading
    ("density", "density"),
    ("heat_capacity", "heat capacity"),
    ("heat_of_solution", "heat of solution and dilution"),
    ("ph", "pH standards"),
    ("acids", "acid constants over T"),
    ("activity", "activity and osmotic coefficients"),
    ("solubility", "solubility in water"),
    ("solubility_mixed", "solubility in mixed solution"),
    ("gases", "gas solubility and vapour pressure"),
    ("calorimetry", "calorimetry"),
)
OBTAINED = ("measured", "fit", "derived", "estimate", "from memory")


@dataclass(frozen=True, slots=True)
class Row:
    """One published value. temperature in °C; value and uncertainty in `unit`."""

    family: str
    file: str
    id: str
    what: str
    composition: str
    temperature: float
    property: str
    value: float
    unit: str
    uncertainty: float  # 0: the source gives none
    source: str
    where: str
    obtained: str
    fit: bool
    note: str


@dataclass(frozen=True, slots=True)
class Known:
    """A failure that is known: rows of `family` whose `what` and property match, and why."""

    family: str
    what: str
    property: str
    reason: str

    def covers(self, row: Row) -> bool:
        """Whether the row is one of them."""
        return (
            row.family == self.family
            and fnmatchcase(row.what, self.what)
            and fnmatchcase(row.property, self.property)
        )


def read_rows(family: str) -> tuple[Row, ...]:
    """Every row of every table of a family."""
    found: list[Row] = []
    for path in sorted((TABLES / family).glob("*.tsv")):
        head, *lines = _lines(path)
        if tuple(head) != COLUMNS:
            raise ValueError(f"{path.name}: columns must be {COLUMNS}")
        found.extend(_row(family, path.stem, cells) for cells in lines)
    return tuple(found)


def read_all() -> tuple[Row, ...]:
    """Every published value of the board."""
    return tuple(row for family, _ in FAMILIES for row in read_rows(family))


def read_sources() -> dict[str, str]:
    """Key -> citation."""
    return {cells[0]: cells[1] for cells in _lines(TABLES / "sources.tsv")[1:]}


def read_known() -> tuple[Known, ...]:
    """Known failures with their reasons."""
    return tuple(Known(*cells[:4]) for cells in _lines(TABLES / "known.tsv")[1:])


def _lines(path: Path) -> list[list[str]]:
    lines = path.read_text(encoding="utf-8").splitlines()
    return [line.split("\t") for line in lines if line and not line.startswith("#")]


def _row(family: str, file: str, cells: list[str]) -> Row:
    cell = dict(zip(COLUMNS, [*cells, *[""] * len(COLUMNS)], strict=False))
    return Row(
        family,
        file,
        cell["id"],
        cell["what"],
        cell["composition"],
        float(cell["temperature"]),
        cell["property"],
        float(cell["value"]),
        cell["unit"],
        float(cell["uncertainty"] or 0.0),
        cell["source"],
        cell["where"],
        cell["obtained"],
        cell["fit"] == "yes",
        cell["note"],
    )
