"""Blanks of time, temperature, volume and solvent."""

from __future__ import annotations

import math

import numpy as np

from firstcrop.forecast.blanks import quiet
from firstcrop.forecast.contents import Contents, at_temperature, volume
from firstcrop.forecast.kinetics import reach
from firstcrop.forecast.march import Drive, march
from firstcrop.forecast.neat import reactions_in
from firstcrop.forecast.ramp import boiling_point
from firstcrop.forecast.roots import bracketed, first_root
from firstcrop.forecast.stock import Stock
from firstcrop.forecast.task import Task, fresh_log
from firstcrop.forecast.window import find_window
from firstcrop.forecast.world import Pot
from firstcrop.sheet.records import EndKind

ENOUGH = 0.99  # conversion at which a declared reaction counts as over
QUIET_GAS = 0.01  # part of the highest gas rate at which gas counts as stopped
LONGEST = 7 * 86400.0  # s
TRACE = 1e-9


def solve_wait(task: Task, pot: Pot, drive: Drive) -> float | None:
    """s until gas stops, all is dissolved, or the declared reactions are 99 % over."""
    end = task.clause.end
    where = "duration" if task.clause.duration is not None else "end"
    if end is not None and end.kind in (EndKind.DISSOLVED, EndKind.CLEAR):
        _check_dissolved(task, pot)
        return 0.0
    begun = _unreacted(task, pot)
    if begun <= 0.0:
        lag = task.ctx.knobs.practice("degassing_stirred")
        waiting = pot.contents.state is not None and float(pot.contents.state.gas.sum()) > 1e-6
        if not waiting and end is None:
            task.complain("blank without a bound", "nothing goes on that takes time", where)
            return None
        _say(task, 5.0 * lag if waiting else 0.0, where, "the gas has left")
        return 5.0 * lag if waiting else 0.0
    time, step = 0.0, 60.0
    trial, ctx = pot, quiet(task)
    while time < LONGEST and _unreacted(task, trial) > (1.0 - ENOUGH) * begun:
        trial = march(ctx, trial, fresh_log(task), step, drive)
        time += step
        step = min(step * 1.5, 3600.0)
    if time >= LONGEST:
        task.complain("blank without an answer", "it is not over in a week", where)
        return None
    _say(task, time, where, "99 % of the slowest declared reaction is over")
    return time


def _say(task: Task, seconds: float, where: str, bound: str) -> None:
    if task.clause.duration is not None or task.clause.end is not None:
        task.answer(seconds, "s", "duration", where, bound, "")


def _unreacted(task: Task, pot: Pot) -> float:
    """mol of declared reaction still possible, of those that take time."""
    ground = task.ctx.ground
    c = pot.contents
    return max(
        (
            reach(d, c.wet, c.dry, c.state, ground.excess)
            for d in reactions_in(ground.chem, ground.reactions, c.wet, c.dry)
            if not d.idle and d.reaction.rate.order
        ),
        default=0.0,
    )


def _check_dissolved(task: Task, pot: Pot) -> None:
    state = pot.contents.state
    solids = 0.0 if state is None else float(state.solids.sum())
    dry = float((pot.contents.dry * task.ctx.chem.soluble).sum())
    if solids + dry > 1e-6:
        report_undissolved(task, pot, "end")


def report_undissolved(task: Task, pot: Pot, where: str = "") -> None:
    """Warn when crystals are left, with what and how much."""
    chem = task.ctx.chem
    state = pot.contents.state
    if state is None:
        return
    for name, amount, mass in zip(
        chem.system.solids, state.solids, chem.system.solid_mass, strict=True
    ):
        if amount * mass > 1e-6:
            task.warn(
                "not all dissolves",
                f"step {task.step.number}: {amount * mass * 1000:.3g} g of {name} stays "
                f"undissolved at {pot.contents.temperature - 273.15:.1f} °C",
                where,
                "more water, or warmer",
            )


def solve_cooling_goal(task: Task, pot: Pot) -> float | None:
    """K: the coldest at which the target still comes alone."""
    ground = task.ctx.ground
    where = "to_temperature"
    if ground.target_solid < 0:
        task.complain(
            "blank without a bound",
            "no target crystallises here, so nothing bounds the cooling",
            where,
            "name what the sheet makes: `Makes NAME, FORMULA.`",
        )
        return None
    wanted = ground.chem.system.solids[ground.target_solid]
    system, mix = ground.chem.system, ground.chem.mix
    window = find_window(system, pot.contents.wet, wanted, task.step.number, mix=mix)
    if not math.isfinite(window.low):
        task.complain(
            "blank without an answer", f"{wanted} nowhere comes alone from this liquor", where
        )
        return None
    rivals = [r for r, t in window.rivals if abs(t - window.low) < 0.5]
    bound = f"below it {rivals[0]} joins" if rivals else "no rival comes down to 0 °C"
    task.answer(window.low, "K", "temperature", where, bound, wanted)
    return window.low


def solve_boil_down(task: Task, pot: Pot) -> float | None:
    """m3 to which to boil down: where the first crystals appear at the boil."""
    where = "to_volume" if task.clause.to_volume is not None else "to_mass"
    ctx, chem = quiet(task), task.ctx.chem
    c = pot.contents
    boiling = boiling_point(ctx, pot)
    if not math.isfinite(boiling):
        task.complain("blank without an answer", "there is no liquor to boil down", where)
        return None
    temperature = min(boiling, 373.15) - 0.3
    free = float(c.wet[0])

    def f(part: float) -> float:
        wet = c.wet.copy()
        wet[0] -= part * free
        new = at_temperature(chem, wet, c.dry, temperature, 2.0 * ctx.pressure, c.state)
        if new.state is None or not new.state.ok:
            return 1.0
        return float(new.state.solids.sum()) - TRACE * free

    if f(0.0) >= 0.0:
        task.complain("blank without an answer", "crystals are there already", where)
        return None
    root = bracketed(f, 0.0, 0.98, 1e-4)
    if root is None:
        task.complain("blank without an answer", "no crystals appear on boiling down", where)
        return None
    wet = c.wet.copy()
    wet[0] -= root * free
    end = at_temperature(chem, wet, c.dry, temperature, 2.0 * ctx.pressure, c.state)
    size = volume(end, chem)
    task.answer(size, "m3", "volume", where, "the first crystals appear at the boil", "")
    return size


def just_dissolving(
    task: Task, c: Contents, stock: Stock, temperature: float, first: float, most: float
) -> float | None:
    """kg of the stock at which the last crystals go (a solvent) or the first stay (a solute), at
    a temperature, looked for from `first` to `most`; None when there is no such amount."""
    chem, ctx = task.ctx.chem, task.ctx

    def f(mass: float) -> float:
        wet, dry = c.wet + stock.wet * mass, c.dry + stock.dry * mass
        new = at_temperature(chem, wet, dry, temperature, ctx.pressure)
        if new.state is None or not new.state.ok:
            return 1.0
        return float(np.sum(new.state.solids)) - 1e-6

    return first_root(f, first, most, 1e-5)
