"""What to change next time: each number of a sheet turned a little, each way forecast anew."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from firstcrop.bank.bank import Bank
from firstcrop.forecast.records import Bottle, Forecast
from firstcrop.problems import Problem, Severity
from firstcrop.run import forecast_sheet
from firstcrop.sheet.rewrite import Edit, edited
from firstcrop.sheet.turnables import Turnable, turnables

PART = 0.10  # of the value, either way
DEGREES = 5.0  # K either way
FIGURES = 4


@dataclass(frozen=True, slots=True)
class Change:
    """A number written otherwise, and what the forecast gains by it."""

    turned: Turnable
    value: float  # in the unit it is written in
    mass_gain: float  # kg of dry target more, all crops
    yield_gain: float  # of theory, fraction
    purity_gain: float  # fraction of the dry crops
    breaks: tuple[str, ...]  # limits, cautions and mistakes that were not there before


def advise(text: str, bank: Bank, bottles: Iterable[Bottle] = ()) -> tuple[Change, ...] | Problem:
    """Every number turned by a tenth (a temperature by 5 K) each way, the largest gain in yield
    first. Two forecasts a number, without bands: gains are of the central forecast."""
    shelf = tuple(bottles)
    base = forecast_sheet(text, bank, with_bands=False, bottles=shelf)
    if base.refused:
        return Problem("advise.refused", base.refused)
    if not math.isfinite(_outcome(base)[0]):
        hint = "name the product in a sentence, “Makes …, FORMULA”, and keep its crystals"
        return Problem(
            "advise.crop", "the sheet gives no crop of its product to improve", hint=hint
        )
    found = []
    for turned in turnables(base.preparation):
        for value in values(turned):
            told = forecast_sheet(
                with_value(text, turned, value), bank, with_bands=False, bottles=shelf
            )
            found.append(_change(turned, value, base, told))
    return tuple(sorted(found, key=lambda c: -c.yield_gain if math.isfinite(c.yield_gain) else 1e9))


def values(turned: Turnable) -> Iterator[float]:
    """A modest change each way, kept in what makes sense."""
    step = DEGREES if turned.kind == "temperature" else PART * abs(turned.value)
    for value in (turned.value - step, turned.value + step):
        kept = float(f"{min(max(value, turned.low), turned.high):.{FIGURES}g}")
        if kept != turned.value:
            yield kept


def with_value(text: str, turned: Turnable, value: float) -> str:
    """The text with one number written otherwise."""
    edit = Edit(turned.line, turned.column, turned.length, f"{value:.{FIGURES}g}")
    return "\n".join(edited(text.split("\n"), (edit,)))


def _outcome(told: Forecast) -> tuple[float, float, float]:
    """kg of dry target crops, the part of theory they are, and their purity by mass."""
    crops = [c for c in told.crops if math.isfinite(c.yield_fraction.value)]
    mass = math.fsum(c.dry_mass.value for c in crops)
    if not mass > 0.0:
        return math.nan, math.nan, math.nan
    pure = math.fsum(c.dry_mass.value * c.purity.value for c in crops) / mass
    return mass, math.fsum(c.yield_fraction.value for c in crops), pure


def _change(turned: Turnable, value: float, base: Forecast, told: Forecast) -> Change:
    (mass, part, pure), (mass_was, part_was, pure_was) = _outcome(told), _outcome(base)
    before = dict(_broken(base))
    breaks = tuple(words for key, words in _broken(told) if key not in before)
    return Change(turned, value, mass - mass_was, part - part_was, pure - pure_was, breaks)


def _broken(told: Forecast) -> Iterator[tuple[tuple[str, int], str]]:
    """What is wrong with a forecast, by what it is and where."""
    if told.refused:
        yield ("refused", 0), told.refused
    over = [(s.number, limit.text) for s in told.steps for limit in s.limits if not limit.kept]
    for number, text in over:
        yield (f"limit {text}", number), f"step {number}: {text}"
    for caution in told.cautions:
        if not any(caution.step == n and text in caution.message for n, text in over):
            yield (caution.code, caution.step), caution.message
    for problem in told.problems:
        if problem.severity is Severity.ERROR:
            yield (problem.code, problem.line), problem.message
