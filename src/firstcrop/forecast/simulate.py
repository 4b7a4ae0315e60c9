"""Run a sheet's steps over the bench: one pass, no knowledge of any operation."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from firstcrop.forecast.context import Context, Ground
from firstcrop.forecast.knobs import Knob, Knobs
from firstcrop.forecast.log import Log
from firstcrop.forecast.operations import OPERATIONS
from firstcrop.forecast.stock import Stock
from firstcrop.forecast.task import Findings, Task
from firstcrop.forecast.world import Cake, World, open_books
from firstcrop.problems import Problem
from firstcrop.sheet.records import Step


@dataclass(frozen=True, slots=True, eq=False)
class Saved:
    """Everything needed to go on from the start of a step."""

    world: World
    used: Mapping[str, float]
    answers: int
    cakes: Mapping[str, Cake]
    problems: int


@dataclass(slots=True, eq=False)
class Run:
    """What one simulation gave: a log a step, the bench at the end, what was found."""

    logs: list[Log]
    world: World
    findings: Findings
    problems: list[Problem]
    knobs: Mapping[str, Knob]
    saved: list[Saved]
    stocks: Mapping[str, Stock]
    room: float = 293.15  # K
    pressure: float = 101325.0  # Pa
    loss: float = 0.0  # part of a crop that stays on paper and glass


def simulate(
    ground: Ground,
    shift: Mapping[str, float] = MappingProxyType({}),
    base: Run | None = None,
    first: int = 0,
    quiet: bool = False,
    again: bool = False,
) -> Run:
    """Run all steps; with `base` and `first`, only those from index `first` on, the earlier ones
    taken from it. `again`: `base` is this very run of an earlier text, whose inputs and problems
    up to `first` are taken over too."""
    knobs = Knobs(shift)
    ctx = Context(ground, knobs, quiet=quiet)
    run = _begin(ctx, base, first)
    if base is not None and again:
        _take_over(ctx, base, first)
    elif base is not None:
        _share_stocks(ctx, base, shift)
    for index, step in enumerate(ground.prep.steps):
        if index < first:
            continue
        knobs.step = index
        found = run.findings
        count = len(found.answers)
        saved = Saved(run.world, dict(ctx.used), count, dict(found.cakes), len(ctx.problems))
        run.saved.append(saved)
        run.world = _step(ctx, run, step)
    run.room, run.pressure = ctx.room, ctx.pressure
    run.loss = knobs.practice("filter_loss") if run.findings.cakes else 0.0
    run.problems = ctx.problems
    run.knobs = knobs.asked
    run.stocks = ctx.stocks
    return run


def _begin(ctx: Context, base: Run | None, first: int) -> Run:
    if base is None or first == 0 or first >= len(base.saved):
        books = open_books(ctx.chem, len(ctx.ground.reactions))
        world = World(0.0, {}, {}, books)
        return Run([], world, Findings(), [], {}, [], {})
    saved = base.saved[first]
    ctx.used.update(saved.used)
    findings = Findings(list(base.findings.answers[: saved.answers]), dict(saved.cakes))
    return Run(list(base.logs[:first]), saved.world, findings, [], {}, list(base.saved[:first]), {})


def _take_over(ctx: Context, base: Run, first: int) -> None:
    """Inputs asked for, materials made and problems met before step `first`."""
    ctx.knobs.asked.update({k: v for k, v in base.knobs.items() if v.first_step < first})
    if first > 0:
        ctx.problems.extend(base.problems[: base.saved[first].problems])
    for name, stock in base.stocks.items():
        if f"strength:{name}" in ctx.knobs.asked:
            ctx.stocks[name] = stock


def _share_stocks(ctx: Context, base: Run, shift: Mapping[str, float]) -> None:
    """Materials whose strength is not moved are as they were."""
    for name, stock in base.stocks.items():
        if f"strength:{name}" not in shift:
            ctx.stocks[name] = stock


def _step(ctx: Context, run: Run, step: Step) -> World:
    system = ctx.chem.system
    world = run.world
    log = Log(
        step.number,
        "",
        world.time,
        np.zeros(len(system.gases)),
        np.zeros(len(ctx.ground.reactions)),
    )
    run.logs.append(log)
    for clause in step.clauses:
        task = Task(ctx, world, clause, step, log, run.findings)
        world = OPERATIONS[clause.verb](task)
    books = world.books
    books = replace(
        books,
        heat=books.heat + log.heat,
        gas=books.gas + log.gas,
        gas_heat=books.gas_heat + log.gas_heat,
        reacted=books.reacted + log.reacted,
    )
    pot = world.pots.get(log.pot)
    if pot is not None:
        log.last = log.snapshot(pot.contents, pot.wall.heat_capacity)
    return replace(world, books=books)
