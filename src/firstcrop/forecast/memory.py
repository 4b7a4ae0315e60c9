"""What an edit leaves as it was: the ground and the steps before the first one that changed."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from firstcrop.bank.bank import Bank
from firstcrop.forecast.context import Ground
from firstcrop.forecast.ground import lay_ground
from firstcrop.forecast.simulate import Run
from firstcrop.problems import Problem
from firstcrop.sheet.records import Preparation, Step


@dataclass(slots=True, eq=False)
class Memory:
    """Kept by the caller between forecasts of one sheet as it is being written. `runs` are those
    of the last forecast by the input they moved ('' for the base run)."""

    prep: Preparation | None = None
    bank: Bank | None = None
    ground: Ground | None = None
    problems: tuple[Problem, ...] = ()
    runs: dict[str, Run] = field(default_factory=dict)

    def lay(self, prep: Preparation, bank: Bank) -> tuple[Ground, tuple[Problem, ...], int]:
        """The ground, its problems, and how many steps of the last runs still stand."""
        old, ground = self.prep, self.ground
        if old is not None and ground is not None and bank is self.bank and _alike(old, prep):
            kept = replace(ground, prep=prep)
            same = unchanged(old.steps, prep.steps)
        else:
            kept, self.problems = lay_ground(prep, bank)
            same = 0
            self.runs = {}
        self.prep, self.bank, self.ground = prep, bank, kept
        return kept, self.problems, same


def _alike(old: Preparation, new: Preparation) -> bool:
    """Whether everything but the steps, remarks and observations is as it was, places included,
    and the steps name the same matter."""
    parts = ("materials", "substances", "reactions", "vessels", "conditions", "target",
             "target_formula")  # fmt: skip
    if any(repr(getattr(old, p)) != repr(getattr(new, p)) for p in parts):
        return False
    return matter_words(old) == matter_words(new)


def matter_words(prep: Preparation) -> frozenset[str]:
    """Every word the steps use for matter."""
    clauses = [c for step in prep.steps for c in step.clauses]
    return frozenset(w for c in clauses for w in (c.what, c.solvent, c.source) if w)


def unchanged(old: tuple[Step, ...], new: tuple[Step, ...]) -> int:
    """How many steps from the first on are the same, standing in the same place."""
    count = 0
    for one, other in zip(old, new, strict=False):
        if one != other or one.place != other.place or one.text != other.text:
            break
        count += 1
    return count
