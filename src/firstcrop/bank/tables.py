"""Read the bank's TSV tables: a row knows its file and line, so a value can say where it stands."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from importlib.resources import files
from types import MappingProxyType

from firstcrop.bank.records import Datum, Obtained, Source
from firstcrop.problems import Place


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a table: cell texts by heading. An absent cell is the empty string."""

    cells: Mapping[str, str]
    place: Place = field(default=Place(0), compare=False)

    def text(self, heading: str) -> str:
        """The cell as text, empty when absent."""
        return self.cells.get(heading, "")

    def number(self, heading: str) -> float | None:
        """The cell as a number, None when empty."""
        cell = self.text(heading)
        return float(cell) if cell else None

    def names(self, heading: str) -> tuple[str, ...]:
        """A cell listing names with `;` between."""
        return tuple(n.strip() for n in self.text(heading).split(";") if n.strip())

    def stoichiometry(self, heading: str) -> tuple[tuple[str, float], ...]:
        """A cell like `K+ 1; Al+3 1; SO4-2 2; H2O 12`."""
        pairs = (part.rsplit(" ", 1) for part in self.names(heading))
        return tuple((name.strip(), float(count)) for name, count in pairs)

    def datum(self, heading: str, unit: str, scale: float = 1.0, label: str = "") -> Datum | None:
        """The cell as a Datum; `<heading>_band`, `<heading>_obtained`, `<heading>_source` and
        `<heading>_where` (falling back to `obtained`, `source`, `where`) give its origin."""
        value = self.number(heading)
        if value is None:
            return None
        band = self.number(f"{heading}_band") or 0.0
        obtained = self.text(f"{heading}_obtained") or self.text("obtained") or "measured"
        source = self.text(f"{heading}_source") or self.text("source")
        where = self.text(f"{heading}_where") or self.text("where")
        return Datum(
            value * scale, unit, band * scale, Obtained(obtained), source, where, label, self.place
        )


def read_table(name: str) -> tuple[Row, ...]:
    """All rows of `bank/data/<name>.tsv`; lines starting with `#` are comments."""
    return tuple(_rows(name))


def _rows(name: str) -> Iterator[Row]:
    file = f"{name}.tsv"
    text = (files("firstcrop.bank") / "data" / file).read_text(encoding="utf-8")
    headings: list[str] = []
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip() or line.startswith("#"):
            continue
        cells = [cell.strip() for cell in line.split("\t")]
        if not headings:
            headings = cells
            continue
        if len(cells) > len(headings):
            raise ValueError(f"{file}:{number}: {len(cells)} cells under {len(headings)} headings")
        yield Row(
            MappingProxyType(dict(zip(headings, cells, strict=False))), Place(number, file=file)
        )


def read_sources() -> Mapping[str, Source]:
    """Every reference of `bank/data/sources/*.tsv` by key; a key given twice is a bug."""
    found: dict[str, Source] = {}
    folder = files("firstcrop.bank") / "data" / "sources"
    for file in sorted(entry.name for entry in folder.iterdir() if entry.name.endswith(".tsv")):
        for row in read_table(f"sources/{file.removesuffix('.tsv')}"):
            key = row.text("key")
            if key in found:
                raise ValueError(f"source {key!r} is listed twice ({row.place.file})")
            found[key] = Source(key, row.text("citation"), row.text("address"))
    return MappingProxyType(found)
