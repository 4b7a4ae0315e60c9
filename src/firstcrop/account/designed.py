"""A designed set of runs: up to seven numbers of a sheet at two levels each, in eight runs.

The design is that of Plackett and Burman (1946, Biometrika 33, 305) for eight runs, which is the
Hadamard matrix of order 8: every factor is high in four runs and low in four, and so is every other
factor in each of these fours. A main effect is mixed up with interactions of two other factors; the
columns that carry no factor say how large chance is.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import hadamard

from firstcrop.account.advise import FIGURES
from firstcrop.problems import Problem
from firstcrop.sheet.read import read_sheet
from firstcrop.sheet.rewrite import Edit, edited, with_remark
from firstcrop.sheet.turnables import Turnable, turnables

RUNS = 8
MOST = RUNS - 1


@dataclass(frozen=True, slots=True)
class Factor:
    """A number of the sheet and its two levels, in the unit it is written in."""

    turned: Turnable
    low: float
    high: float

    @property
    def name(self) -> str:
        """What it is and where."""
        return f"{self.turned.label}, {self.turned.where}"


@dataclass(frozen=True, slots=True)
class Planned:
    """One run of the set: its sheet and the level of each factor, -1 or +1."""

    number: int
    text: str
    levels: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Effect:
    """What going from low to high did to the result, on average; `error` is one standard error
    from the columns without a factor, NaN when every column has one."""

    factor: str
    effect: float
    error: float


def levels() -> NDArray[np.int64]:
    """[8, 7] of -1 and +1; any two columns are orthogonal."""
    return np.asarray(hadamard(RUNS)[:, 1:], dtype=np.int64)


def factor(text: str, words: str, low: float, high: float) -> Factor | Problem:
    """The factor that `words` name: all of them in its "label, where"."""
    wanted = words.lower().split()
    there = [Factor(t, low, high) for t in turnables(read_sheet(text).preparation)]
    found = [f for f in there if all(w in f.name.lower().replace(",", "").split() for w in wanted)]
    if len(found) == 1 and low < high:
        return found[0]
    if len(found) == 1:
        return Problem("design.levels", f"the low level of {words} must be below the high one")
    names = "; ".join(f.name for f in found or there)
    said = "several numbers are" if found else "no number is"
    return Problem("design.factor", f"{said} called “{words}”", hint=f"there are: {names}")


def planned(text: str, factors: Sequence[Factor]) -> tuple[Planned, ...] | Problem:
    """The eight sheets."""
    if not 1 <= len(factors) <= MOST:
        return Problem("design.many", f"choose one to {MOST} factors, not {len(factors)}")
    places = {(f.turned.line, f.turned.column) for f in factors}
    if len(places) < len(factors):
        return Problem("design.twice", "a number was named twice")
    table = levels()[:, : len(factors)]
    return tuple(_run(text, i + 1, factors, tuple(map(int, row))) for i, row in enumerate(table))


def _run(text: str, number: int, factors: Sequence[Factor], signs: tuple[int, ...]) -> Planned:
    chosen = [f.high if sign > 0 else f.low for f, sign in zip(factors, signs, strict=True)]
    edits = [
        Edit(f.turned.line, f.turned.column, f.turned.length, f"{value:.{FIGURES}g}")
        for f, value in zip(factors, chosen, strict=True)
    ]
    told = "; ".join(
        f"{f.name}: {value:.{FIGURES}g} {f.turned.unit}".rstrip()
        for f, value in zip(factors, chosen, strict=True)
    )
    remark = f"Run {number} of {RUNS} of a designed set. {told}."
    return Planned(number, "\n".join(with_remark(edited(text.split("\n"), edits), remark)), signs)


def effects(
    names: Iterable[str], signs: Sequence[Sequence[int]], results: Sequence[float]
) -> tuple[Effect, ...] | Problem:
    """Main effects of a finished set, the largest first; in the unit of the results."""
    listed, used = tuple(names), np.asarray(signs, dtype=np.int64)
    y = np.asarray(results, dtype=np.float64)
    if len(y) != RUNS or not np.isfinite(y).all():
        return Problem("design.results", f"a main effect needs the results of all {RUNS} runs")
    if used.shape != (RUNS, len(listed)) or not np.array_equal(used, levels()[:, : len(listed)]):
        return Problem("design.changed", "these are not the runs of a designed set, in their order")
    every = levels().T @ y / (RUNS / 2.0)
    spare = every[len(listed) :]
    error = math.sqrt(float(np.mean(spare**2))) if spare.size else math.nan
    found = (Effect(name, float(every[i]), error) for i, name in enumerate(listed))
    return tuple(sorted(found, key=lambda e: -abs(e.effect)))
