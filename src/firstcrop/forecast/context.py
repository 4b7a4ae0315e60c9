"""What every pass of one simulation shares: the sheet, the bank, the chemistry, the knobs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from firstcrop.bank.bank import Bank
from firstcrop.bank.records import Substance
from firstcrop.forecast.chemistry import Chemistry
from firstcrop.forecast.kinetics import Declared
from firstcrop.forecast.knobs import Knobs
from firstcrop.forecast.resolve import Resolved
from firstcrop.forecast.stock import Stock
from firstcrop.liquor.system import Floats
from firstcrop.problems import Place, Problem, Severity
from firstcrop.sheet.records import Preparation


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """What does not change between simulations of one sheet."""

    prep: Preparation
    bank: Bank
    chem: Chemistry
    materials: Mapping[str, Resolved]
    reactions: tuple[Declared, ...]
    excess: Floats  # [S] protons a species holds beyond its form at pH 7
    target: Substance | None
    target_solid: int = -1  # row in System.solids, -1: none
    hydrates: Mapping[str, tuple[tuple[int, float], ...]] = field(default_factory=dict)


@dataclass(slots=True)
class Context:
    """One simulation: the ground, its knobs, and the problems it met."""

    ground: Ground
    knobs: Knobs
    problems: list[Problem] = field(default_factory=list)
    stocks: dict[str, Stock] = field(default_factory=dict)
    used: dict[str, float] = field(default_factory=dict)  # mol of each material put in so far
    quiet: bool = False  # perturbed runs and trials do not complain

    @property
    def chem(self) -> Chemistry:
        """The chemistry of the sheet."""
        return self.ground.chem

    def complain(
        self,
        code: str,
        message: str,
        place: Place,
        hint: str = "",
        severity: Severity = Severity.ERROR,
    ) -> None:
        """Add a problem, once."""
        problem = Problem(code, message, (place,), hint, severity)
        if not self.quiet and problem not in self.problems:
            self.problems.append(problem)

    def told(self, code: str, word: str) -> bool:
        """Whether a problem of this code that names `word` stands already."""
        return any(p.code == code and word in p.message for p in self.problems)

    def note(self, code: str, message: str, place: Place, hint: str = "") -> None:
        """Add a note, once."""
        self.complain(code, message, place, hint, Severity.NOTE)

    def condition(self, name: str) -> float | None:
        """The value of a line of `## Conditions`, SI."""
        for setting in self.ground.prep.conditions:
            if setting.name.lower() == name and setting.quantity is not None:
                q = setting.quantity
                return self.knobs.band(f"condition:{name}", name, q.value, q.band)
        return None

    @property
    def room(self) -> float:
        """Room temperature, K."""
        written = self.condition("room")
        return self.knobs.practice("room_temperature") if written is None else written

    @property
    def pressure(self) -> float:
        """Air pressure, Pa."""
        written = self.condition("pressure")
        return self.knobs.practice("pressure") if written is None else written
