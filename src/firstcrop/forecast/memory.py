"""What an edit leaves as it was: the ground and the steps before the first one that changed."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from firstcrop.bank.bank import Bank
from firstcrop.forecast.context import Ground
from firstcrop.forecast.ground import lay_ground
from firstcrop.forecast.log import Log
from firstcrop.forecast.records import StepForecast, Window
from firstcrop.forecast.simulate import Run
from firstcrop.problems import Problem
from firstcrop.sheet.records import Preparation, Step

SETTINGS = 3  # kept


@dataclass(slots=True, eq=False)
class Told:
    """What was told of steps when no bands were asked for, by step: good while the log is the
    same one."""

    steps: dict[int, tuple[Log, StepForecast]] = field(default_factory=dict)
    windows: dict[int, tuple[Log, Window]] = field(default_factory=dict)


@dataclass(slots=True, eq=False)
class Setting:
    """A sheet as it last stood with one set of materials, vessels and reactions. `runs` are those
    of the last forecast by the input they moved ('' for the base run)."""

    prep: Preparation
    bank: Bank
    ground: Ground
    problems: tuple[Problem, ...]
    runs: dict[str, Run] = field(default_factory=dict)
    told: Told = field(default_factory=Told)


@dataclass(slots=True, eq=False)
class Memory:
    """Kept by the caller between forecasts of one sheet as it is being written. The last few
    settings are kept, so that half a word, which names other matter, costs nothing once whole."""

    settings: list[Setting] = field(default_factory=list)

    @property
    def told(self) -> Told:
        """What was told of the present setting's steps."""
        return self.settings[-1].told

    @property
    def runs(self) -> dict[str, Run]:
        """The runs of the present setting."""
        return self.settings[-1].runs

    def lay(self, prep: Preparation, bank: Bank) -> tuple[Ground, tuple[Problem, ...], int]:
        """The ground, its problems, and how many steps of the last runs still stand."""
        for index in range(len(self.settings) - 1, -1, -1):
            known = self.settings[index]
            if bank is known.bank and _alike(known.prep, prep):
                same = unchanged(known.prep.steps, prep.steps)
                self.settings.append(self.settings.pop(index))
                known.prep, known.ground = prep, replace(known.ground, prep=prep)
                return known.ground, known.problems, same
        ground, problems = lay_ground(prep, bank)
        self.settings.append(Setting(prep, bank, ground, problems))
        del self.settings[:-SETTINGS]
        return ground, problems, 0


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
