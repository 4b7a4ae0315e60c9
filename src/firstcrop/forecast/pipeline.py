"""From the text of a sheet to its forecast: a list of passes, each a function of records."""

from __future__ import annotations

import math
from dataclasses import replace

from firstcrop.bank.bank import Bank
from firstcrop.forecast.answers import blank_answers
from firstcrop.forecast.balances import balances
from firstcrop.forecast.bands import Bands, Earlier, only, propagate
from firstcrop.forecast.basis import rests_on
from firstcrop.forecast.compare import comparisons
from firstcrop.forecast.context import Ground
from firstcrop.forecast.draws import drawn
from firstcrop.forecast.log import Log
from firstcrop.forecast.measures import harvests
from firstcrop.forecast.memory import Memory, Told
from firstcrop.forecast.records import Forecast, StepForecast, Window
from firstcrop.forecast.results import (
    crop_records,
    fate_numbers,
    step_forecasts,
    taken_records,
    theory_number,
    trace_of,
)
from firstcrop.forecast.simulate import Run, simulate
from firstcrop.forecast.theory import theory
from firstcrop.forecast.window import find_window
from firstcrop.problems import Problem, Severity
from firstcrop.sheet.read import read_sheet
from firstcrop.sheet.records import Preparation, Verb


def forecast(
    text: str,
    bank: Bank,
    with_bands: bool = True,
    memory: Memory | None = None,
    draws: int = 0,
) -> Forecast:
    """Compute a written preparation.

    Mistakes and gaps come back as `Forecast.problems`, in line order; nothing raises for what a
    writer can do.
    `with_bands` False leaves every band at the value (one simulation instead of dozens). With a
    `memory` kept between calls, an edit recomputes only from the first step it changed.
    `draws`: the bands are then those of so many runs with every uncertain input drawn at once.
    """
    reading = read_sheet(text)
    problems = reading.problems
    return forecast_preparation(reading.preparation, bank, problems, with_bands, memory, draws)


def forecast_preparation(
    prep: Preparation,
    bank: Bank,
    problems: tuple[Problem, ...] = (),
    with_bands: bool = True,
    memory: Memory | None = None,
    draws: int = 0,
) -> Forecast:
    """The same for a sheet already read."""
    kept = Memory() if memory is None else memory
    ground, gaps, same = kept.lay(prep, bank)
    old = kept.runs.get("")
    if old is not None:
        same = min(same, len(old.saved) - 1)  # the last step is run again in any case
    again = old is not None and same > 0
    run = simulate(ground, base=old, first=same, again=True) if again else simulate(ground)
    kept.runs[""] = run
    earlier = Earlier(kept.runs, same)
    bands = propagate(ground, run, earlier) if with_bands else only(ground, run)
    if with_bands and draws:
        bands = replace(bands, drawn=drawn(ground, run, draws))
    known = Told() if with_bands else kept.told
    return _told(ground, run, bands, (*problems, *gaps, *run.problems), known)


def _told(
    ground: Ground, run: Run, bands: Bands, problems: tuple[Problem, ...], known: Told
) -> Forecast:
    prep = ground.prep
    best = theory(ground, run.world.books)
    steps = step_forecasts(ground, run, bands, known.steps)
    crops = crop_records(ground, run, harvests(ground, run), bands, best)
    blanks = blank_answers(run, bands)
    mass = ground.target.molar_mass if ground.target is not None else math.nan
    full = (*problems, *_too_full(steps))
    return Forecast(
        preparation=prep,
        problems=tuple(sorted(dict.fromkeys(full), key=lambda p: p.line)),
        steps=steps,
        crops=crops,
        windows=_windows(ground, run, known.windows),
        blanks=blanks,
        comparisons=comparisons(prep, steps, crops, blanks, bands),
        trace=trace_of(ground, run, bands),
        balances=balances(ground, run.world),
        rests_on=rests_on(ground, run),
        theory=theory_number(best, bands, mass),
        fates=fate_numbers(bands),
        taken=taken_records(run),
    )


def _too_full(steps: tuple[StepForecast, ...]) -> tuple[Problem, ...]:
    """A vessel too small for what goes into it."""
    return tuple(
        Problem(
            "vessel too small",
            f"step {s.number} fills {s.peak_volume.value * 1e6:.0f} mL (gas included) into a "
            f"{s.vessel} that holds {s.capacity * 1e6:.0f} mL to the brim",
            (s.place,),
            "take a larger vessel",
            Severity.WARNING,
        )
        for s in steps
        if s.peak_volume.value > s.capacity
    )


def _windows(ground: Ground, run: Run, known: dict[int, tuple[Log, Window]]) -> tuple[Window, ...]:
    """The window of the target before every cooling that crystallises it."""
    if ground.target_solid < 0:
        return ()
    wanted = ground.chem.system.solids[ground.target_solid]
    found = []
    for step, log in zip(ground.prep.steps, run.logs, strict=True):
        cools = any(c.verb in (Verb.COOL, Verb.STAND) for c in step.clauses)
        if not cools or log.last is None:
            continue
        c = log.last.contents
        if c.state is None or not c.state.ok or c.state.solids[ground.target_solid] <= 0.0:
            continue
        old = known.get(step.number)
        if old is None or old[0] is not log:
            window = find_window(
                ground.chem.system, c.wet, wanted, step.number, mix=ground.chem.mix
            )
            known[step.number] = old = (log, window)
        found.append(old[1])
    return tuple(found)
