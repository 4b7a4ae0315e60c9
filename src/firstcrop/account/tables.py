"""The account's own small tables, read once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class ReadingError:
    """A 90 % half-width to assume for a reading whose writer gives none, SI."""

    absolute: float
    relative: float
    note: str

    def band(self, value: float) -> float:
        """The half-width for a value; relative to it where that is more."""
        return max(self.absolute, self.relative * abs(value))


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a reading outside the band may mean, and what to do first."""

    means: str
    first: str
    obtained: str


def _rows(name: str) -> list[dict[str, str]]:
    text = (files("firstcrop.account") / name).read_text(encoding="utf-8")
    lines = [line.split("\t") for line in text.splitlines() if line and not line.startswith("#")]
    return [dict(zip(lines[0], line, strict=True)) for line in lines[1:]]


@cache
def reading_errors() -> Mapping[str, ReadingError]:
    """By what is read."""
    return MappingProxyType(
        {
            row["what"]: ReadingError(float(row["absolute"]), float(row["relative"]), row["note"])
            for row in _rows("reading_errors.tsv")
        }
    )


@cache
def meanings() -> Mapping[tuple[str, str], Meaning]:
    """By what is read and the side it is off on, above or below."""
    return MappingProxyType(
        {
            (row["what"], row["side"]): Meaning(row["means"], row["first"], row["obtained"])
            for row in _rows("meanings.tsv")
        }
    )
