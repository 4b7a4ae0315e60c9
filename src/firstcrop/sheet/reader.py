"""The state of reading one step."""

from __future__ import annotations

from dataclasses import dataclass, field

from firstcrop.problems import Place, Problem
from firstcrop.sheet.draft import Draft, Locate
from firstcrop.sheet.records import Clause
from firstcrop.sheet.slots import Speech


@dataclass(frozen=True, slots=True)
class Names:
    """What a sheet declares, as written."""

    materials: tuple[str, ...] = ()
    vessels: tuple[str, ...] = ()

    @property
    def all(self) -> tuple[str, ...]:
        """Materials and vessels."""
        return self.materials + self.vessels


@dataclass(slots=True)
class Reader:
    """A step being read: where it stands and what it has found."""

    speech: Speech
    names: Names
    locate: Locate
    i: int = 0
    draft: Draft | None = None
    clauses: list[Clause] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    antecedent: str = ""
    material: str = ""

    def place(self, start: int, end: int) -> Place:
        """The place of tokens start to end."""
        tokens = self.speech.tokens
        return self.locate(tokens[start].start, tokens[max(start, end - 1)].end)

    def words(self, start: int, end: int) -> str:
        """The text of tokens start to end as written."""
        tokens = self.speech.tokens
        return self.speech.text[tokens[start].start : tokens[max(start, end - 1)].end]
