"""What each uncertain input does to a run, simulated once: the ground on which readings teach."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from firstcrop.bank.bank import Bank
from firstcrop.forecast.bands import SOLUBILITY, with_solubility
from firstcrop.forecast.bottles import from_bottles
from firstcrop.forecast.context import Ground
from firstcrop.forecast.ground import lay_ground
from firstcrop.forecast.knobs import Knob
from firstcrop.forecast.records import Bottle
from firstcrop.forecast.simulate import Run, simulate
from firstcrop.problems import Problem
from firstcrop.sheet.read import read_sheet

SOLUBILITY_PART = 0.02  # relative, 90 %: where a curve gives no band of its own, an estimate


@dataclass(frozen=True, slots=True, eq=False)
class Turned:
    """An uncertain input, and the run with it at its lower and at its upper 90 % bound."""

    knob: Knob
    down: Run
    up: Run


@dataclass(frozen=True, slots=True, eq=False)
class Study:
    """A sheet, its run, and the runs beside it."""

    ground: Ground
    base: Run
    turned: tuple[Turned, ...]


def study(text: str, bank: Bank, bottles: Iterable[Bottle] = ()) -> Study | Problem:
    """Simulate a sheet with every uncertain input at both bounds: two runs an input."""
    sheet, _ = from_bottles(read_sheet(text).preparation, bank, tuple(bottles))
    if not sheet.steps:
        return Problem("study.empty", "the sheet has no steps to run")
    ground, _ = lay_ground(sheet, bank)
    base = simulate(ground, quiet=True)
    turned = [_turned(ground, base, knob) for knob in base.knobs.values()]
    for row in _crop_rows(ground, base):
        name = ground.chem.system.solids[row]
        knob = Knob(f"{SOLUBILITY}{name}", f"solubility of {name}", 1.0, 1.0 - SOLUBILITY_PART,
                    1.0 + SOLUBILITY_PART, "1", 0)  # fmt: skip
        turned.append(_turned(ground, base, knob))
    return Study(ground, base, tuple(turned))


def run_at(study_of: Ground, base: Run, shift: dict[str, float], first: int = 0) -> Run:
    """The run with inputs moved: -1 is an input's lower bound, +1 its upper one."""
    ground, knobs = study_of, {}
    for key, move in shift.items():
        if key.startswith(SOLUBILITY):
            row = ground.chem.system.solids.index(key.removeprefix(SOLUBILITY))
            ground = with_solubility(ground, row, SOLUBILITY_PART * move)
        else:
            knobs[key] = move
    return simulate(ground, knobs, base, first, quiet=True)


def _turned(ground: Ground, base: Run, knob: Knob) -> Turned:
    down, up = (run_at(ground, base, {knob.key: move}, knob.first_step) for move in (-1.0, 1.0))
    return Turned(knob, down, up)


def _crop_rows(ground: Ground, base: Run) -> tuple[int, ...]:
    masses = ground.chem.system.solid_mass
    cakes = [c for c in base.findings.cakes.values() if c.solids.size and c.solids.max() > 0.0]
    return tuple(sorted({int((c.solids * masses).argmax()) for c in cakes}))
