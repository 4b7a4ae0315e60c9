"""What is wrong, where, and what to write instead.

A mistake in a sheet, a gap in the bank or a solver that gives up is a value of
one class, collected and shown; exceptions are kept for bugs in firstcrop itself.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Final


class Severity(StrEnum):
    """How much a Problem spoils: an error leaves a number unknown."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Place:
    """A stretch of one line of a text; line and column count from 1."""

    line: int
    column: int = 1
    length: int = 1
    file: str = ""

    def shifted(self, columns: int, length: int | None = None) -> Place:
        """The place `columns` further right on the same line."""
        return Place(self.line, self.column + columns, length or self.length, self.file)


UNPLACED: Final = Place(0)  # a text read by itself; columns still count from 1


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing the reader should know: `code` is stable, `message` is for people."""

    code: str
    message: str
    places: tuple[Place, ...] = ()
    hint: str = ""
    severity: Severity = Severity.ERROR

    @property
    def line(self) -> int:
        """The line it is about, 0 when it is about no line."""
        return self.places[0].line if self.places else 0


def worst(problems: Iterable[Problem]) -> Severity | None:
    """The gravest severity present, None when there is no problem."""
    order = (Severity.ERROR, Severity.WARNING, Severity.NOTE)
    present = {p.severity for p in problems}
    return next((s for s in order if s in present), None)
