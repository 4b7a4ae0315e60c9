"""What readings teach about uncertain inputs: a Gaussian update, linear at each turn.

Each input is a normal deviate whose 90 % bounds are the ones the forecast stands on; a reading is
the run's value plus a normal error of its own. The most probable inputs are found by Gauss-Newton
steps with the slopes of the study (Tarantola 2005, Inverse Problem Theory, section 3.4), the run
being simulated anew at each; the spread that is left is the inverse of the curvature there.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from firstcrop.account.evidence import Oracle
from firstcrop.account.records import Evidence, Lesson, Surprise
from firstcrop.account.study import Study, run_at
from firstcrop.forecast.knobs import Knob
from firstcrop.forecast.measures import Key, measures
from firstcrop.forecast.records import Number
from firstcrop.forecast.simulate import Run

TO_SIGMA = 1.0 / 1.6448536  # a 90 % half-width in standard deviations (normal quantile of 0.95)
TURNS = 4
SETTLED = 0.02  # of a standard deviation
FARTHEST = 3.0  # times a 90 % half-width an input may move
LEAST = 0.05  # of its value: an input that cannot be negative stays above this
UNITS = MappingProxyType(
    {
        "start": "K", "peak": "K", "lowest": "K", "end": "K", "volume": "m3", "end volume": "m3",
        "mass": "kg", "gas": "m3", "theory": "kg", "fate": "kg", "wet": "kg", "dry": "kg",
        "left": "kg",
    }
)  # fmt: skip
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Learned:
    """Inputs as the readings leave them, the run with them, and readings that were outside."""

    lessons: tuple[Lesson, ...]
    surprises: tuple[Surprise, ...]
    run: Run
    numbers: dict[Key, Number]  # every number of the run with the band that is left


def learn(study: Study, evidence: Iterable[Evidence]) -> Learned:
    """Update the inputs of a study by readings. Readings the run knows nothing of are left out."""
    oracle = Oracle(study.ground, study.base)
    kept = [e for e in evidence if math.isfinite(oracle.says(e)) and e.band > 0.0]
    slopes = _slopes(study, kept)
    sigma = np.array([e.band * TO_SIGMA for e in kept])
    values = np.array([e.value for e in kept])
    first = np.array([oracle.says(e) for e in kept])
    z, run = _most_probable(study, kept, slopes, sigma, values)
    left: Floats = np.asarray(np.linalg.inv(_curvature(slopes, sigma)), dtype=np.float64)
    return Learned(
        lessons=tuple(_lesson(t.knob, z[i], left[i, i]) for i, t in enumerate(study.turned)),
        surprises=_surprises(kept, slopes, sigma, first),
        run=run,
        numbers=_numbers(study, run, left),
    )


def _slopes(study: Study, evidence: list[Evidence]) -> Floats:
    """[E, K] change of each reading's forecast a standard deviation of each input."""
    table = np.zeros((len(evidence), len(study.turned)))
    for k, turned in enumerate(study.turned):
        down, up = Oracle(study.ground, turned.down), Oracle(study.ground, turned.up)
        for e, of in enumerate(evidence):
            change = 0.5 * (up.says(of) - down.says(of)) * TO_SIGMA
            table[e, k] = change if math.isfinite(change) else 0.0
    return table


def _curvature(slopes: Floats, sigma: Floats) -> Floats:
    scaled = slopes / sigma[:, None]
    return np.eye(slopes.shape[1]) + scaled.T @ scaled


def _most_probable(
    study: Study, evidence: list[Evidence], slopes: Floats, sigma: Floats, values: Floats
) -> tuple[Floats, Run]:
    z, run = np.zeros(len(study.turned)), study.base
    if not evidence:
        return z, run
    curvature = _curvature(slopes, sigma)
    bounds = np.array([_bounds(t.knob) for t in study.turned])
    for _ in range(TURNS):
        oracle = Oracle(study.ground, run)
        says = np.array([oracle.says(e) for e in evidence])
        off = np.where(np.isfinite(says), values - says, 0.0) / sigma
        pull = (slopes / sigma[:, None]).T @ off - z
        moved = np.clip(z + np.linalg.solve(curvature, pull), bounds[:, 0], bounds[:, 1])
        change, z = float(np.abs(moved - z).max()), moved
        shift = {
            t.knob.key: float(z[i] * TO_SIGMA)
            for i, t in enumerate(study.turned)
            if abs(z[i]) > 1e-6
        }
        run = run_at(study.ground, study.base, shift)
        if change < SETTLED:
            break
    return z, run


def _bounds(knob: Knob) -> tuple[float, float]:
    """How far an input may move, in standard deviations."""
    low = -FARTHEST / TO_SIGMA
    if knob.low > 0.0 and knob.value > knob.low:
        low = max(low, -(1.0 - LEAST) * knob.value / (knob.value - knob.low) / TO_SIGMA)
    return low, FARTHEST / TO_SIGMA


def _lesson(knob: Knob, z: float, variance: float) -> Lesson:
    """Back from standard deviations to the input's unit, each side by its own half-width."""

    def at(shift: float) -> float:
        half = knob.high - knob.value if shift > 0.0 else knob.value - knob.low
        return knob.value + shift * half

    shift, wide = z * TO_SIGMA, math.sqrt(variance)
    return Lesson(
        knob.key,
        knob.label,
        knob.unit,
        (knob.value, knob.low, knob.high),
        (at(shift), at(shift - wide), at(shift + wide)),
    )


def _surprises(
    evidence: list[Evidence], slopes: Floats, sigma: Floats, first: Floats
) -> tuple[Surprise, ...]:
    """Readings outside what the forecast and their own error allow, the farthest first."""
    found = []
    for i, of in enumerate(evidence):
        band = math.hypot(float(sigma[i]), float(np.linalg.norm(slopes[i]))) / TO_SIGMA
        surprise = Surprise(of, float(first[i]), band)
        if abs(surprise.size) > 1.0:
            found.append(surprise)
    return tuple(sorted(found, key=lambda s: -abs(s.size)))


def _numbers(study: Study, run: Run, left: Floats) -> dict[Key, Number]:
    base = measures(study.ground, run)
    sides = [(measures(study.ground, t.down), measures(study.ground, t.up)) for t in study.turned]
    found = {}
    for key, value in base.items():
        slope = np.array([_half(down.get(key), up.get(key)) for down, up in sides]) * TO_SIGMA
        half = math.sqrt(max(float(slope @ left @ slope), 0.0)) / TO_SIGMA
        found[key] = Number(value, value - half, value + half, UNITS.get(key[0], "1"))
    return found


def _half(down: float | None, up: float | None) -> float:
    if down is None or up is None or not math.isfinite(up - down):
        return 0.0
    return 0.5 * (up - down)
