"""A band by sampling: every uncertain input drawn at once, the whole run computed for each draw.

Inputs are taken as normal with their 90 % bounds (each side its own), and independent. Where the
model is smooth this gives what moving them one at a time gives (`bands.py`); where it bends, as at
a limiting reagent, it gives the true band, which need not lie evenly about the value.
"""

from __future__ import annotations

import multiprocessing as mp
from collections.abc import Mapping
from dataclasses import replace
from multiprocessing.connection import Connection

import numpy as np

from firstcrop.forecast.bands import crop_solids, with_solubility
from firstcrop.forecast.context import Ground
from firstcrop.forecast.measures import Key, measures
from firstcrop.forecast.simulate import Run, simulate
from firstcrop.forecast.solvent_moves import solvents_in
from firstcrop.liquor.system import Floats

BOUND = 1.6448536269514722  # standard deviations of a normal from its middle to a 90 % bound
LOWEST, HIGHEST = 5.0, 95.0  # per cent
SEED = 1
WORKERS = 2
FEWEST = 0.5  # part of the draws that must have a number for it to have a band

Band = tuple[float, float]


def drawn(ground: Ground, base: Run, count: int, workers: int = WORKERS) -> Mapping[Key, Band]:
    """5th and 95th percentile of every number of the run over `count` draws, the same ones every
    time; on up to `workers` processes where processes can be forked."""
    solids = tuple(crop_solids(ground, base).items())
    size = len(base.knobs) + 2 * len(solids)
    moves = np.random.default_rng(SEED).standard_normal((count, size)) / BOUND
    if workers < 2 or count < 20 or "fork" not in mp.get_all_start_methods():
        found = _runs(ground, base, solids, moves)
    else:
        found = _on_processes(ground, base, solids, np.array_split(moves, workers))
    return {
        key: (float(low), float(high))
        for key, values in found.items()
        if len(values) >= FEWEST * count
        for low, high in (np.percentile(values, (LOWEST, HIGHEST)),)
    }


def _runs(
    ground: Ground, base: Run, solids: tuple[tuple[int, float], ...], moves: Floats
) -> dict[Key, list[float]]:
    """Every number of the run a row of moves [draws, inputs] makes, in units of the bounds."""
    found: dict[Key, list[float]] = {}
    used = bool(solvents_in(ground, base.world).any())
    for row in moves:
        shift = dict(zip(base.knobs, row.tolist(), strict=False))
        moved = ground
        rest = row[len(base.knobs) :]
        for (solid, part), curve, fall in zip(solids, rest[::2], rest[1::2], strict=True):
            moved = with_solubility(moved, solid, float(curve) * part)
            if used and moved.chem.mix is not None:
                mix = moved.chem.mix.moved(solid, float(fall))
                moved = replace(moved, chem=replace(moved.chem, mix=mix))
        for key, value in measures(moved, simulate(moved, shift, quiet=True)).items():
            if np.isfinite(value):
                found.setdefault(key, []).append(value)
    return found


def _on_processes(
    ground: Ground, base: Run, solids: tuple[tuple[int, float], ...], parts: list[Floats]
) -> dict[Key, list[float]]:
    fork = mp.get_context("fork")
    work = []
    for part in parts:
        here, there = fork.Pipe(duplex=False)
        process = fork.Process(target=_send, args=(there, ground, base, solids, part))
        process.start()
        there.close()
        work.append((process, here))
    found: dict[Key, list[float]] = {}
    for process, here in work:
        for key, values in here.recv().items():
            found.setdefault(key, []).extend(values)
        process.join()
    return found


def _send(
    pipe: Connection,
    ground: Ground,
    base: Run,
    solids: tuple[tuple[int, float], ...],
    moves: Floats,
) -> None:
    pipe.send(_runs(ground, base, solids, moves))
    pipe.close()
