"""Bands: every uncertain input moved to its 90 % bounds, one at a time, through the whole run."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from firstcrop.bank.solids import spread
from firstcrop.forecast.context import Ground
from firstcrop.forecast.knobs import Knob
from firstcrop.forecast.measures import Key, measures
from firstcrop.forecast.records import Influence, Number, Working
from firstcrop.forecast.simulate import Run, simulate
from firstcrop.forecast.solvent_moves import solvent_moves

SOLUBILITY = "solubility:"
DEFAULT_SOLUBILITY = 0.02  # relative 90 % half-width where a curve gives none: estimate
SLIGHT = 1e-12
SMALL_PART = 0.004  # of a number
SMALL_STEP: Mapping[str, float] = MappingProxyType(
    {"peak": 0.2, "lowest": 0.2, "end": 0.2, "start": 0.2, "ph": 0.02}
)
MOST_SHOWN = 8


@dataclass(frozen=True, slots=True, eq=False)
class Moved:
    """The numbers of a run with one input at its lower and at its upper bound."""

    label: str
    low: Mapping[Key, float]
    high: Mapping[Key, float]


@dataclass(frozen=True, slots=True, eq=False)
class Bands:
    """The numbers of the base run and how they move."""

    base: Mapping[Key, float]
    moved: tuple[Moved, ...]
    drawn: Mapping[Key, tuple[float, float]] = field(default_factory=dict)  # bands by sampling

    def number(self, key: Key, unit: str, working: Working | None = None, why: str = "") -> Number:
        """A Number with its band and what makes it; NaN when the run has no such number."""
        value = self.base.get(key, math.nan)
        if math.isnan(value):
            return Number(value, value, value, unit, None, why or "not known")
        below = above = 0.0
        influences = []
        for moved in self.moved:
            down = _gap(moved.low.get(key, math.nan), value)
            up = _gap(moved.high.get(key, math.nan), value)
            if max(abs(down), abs(up)) <= SLIGHT * max(abs(value), 1.0):
                continue
            below += min(down, up, 0.0) ** 2
            above += max(down, up, 0.0) ** 2
            influences.append(Influence(moved.label, down, up))
        influences.sort(key=lambda i: -max(abs(i.down), abs(i.up)))
        low, high = value - math.sqrt(below), value + math.sqrt(above)
        if key in self.drawn:
            low, high = min(self.drawn[key][0], value), max(self.drawn[key][1], value)
        return Number(
            value,
            low,
            high,
            unit,
            working,
            why,
            tuple(influences[:MOST_SHOWN]),
        )


def _gap(moved: float, value: float) -> float:
    return 0.0 if math.isnan(moved) else moved - value


@dataclass(frozen=True, slots=True, eq=False)
class Earlier:
    """Runs of an earlier text by what they moved, and how many of its steps still stand."""

    runs: dict[str, Run]
    same: int = 0


def propagate(ground: Ground, base: Run, earlier: Earlier | None = None) -> Bands:
    """Two simulations an uncertain input, each only from the first step it can touch, or from
    the first that was edited. `earlier` is read, and filled with the runs made."""
    numbers = measures(ground, base)
    kept = Earlier({}) if earlier is None else earlier
    moved = [_turn(ground, base, knob, numbers, kept) for knob in base.knobs.values()]
    moved.extend(_solubilities(ground, base))
    moved.extend(_in_solvents(ground, base))
    return Bands(MappingProxyType(numbers), tuple(moved))


def only(ground: Ground, base: Run) -> Bands:
    """No bands: each number stands alone."""
    return Bands(MappingProxyType(measures(ground, base)), ())


def _turn(
    ground: Ground, base: Run, knob: Knob, numbers: Mapping[Key, float], earlier: Earlier
) -> Moved:
    """The upper bound first; where that hardly moves anything the lower one is its mirror."""
    up = _at(ground, base, knob, 1.0, earlier) if knob.high > knob.value else numbers
    if knob.high > knob.value > knob.low and _slight(up, numbers):
        part = (knob.value - knob.low) / (knob.high - knob.value)
        down: Mapping[Key, float] = {k: v - part * (up.get(k, v) - v) for k, v in numbers.items()}
    else:
        down = _at(ground, base, knob, -1.0, earlier) if knob.low < knob.value else numbers
    return Moved(knob.label, down, up)


def _at(
    ground: Ground, base: Run, knob: Knob, move: float, earlier: Earlier
) -> Mapping[Key, float]:
    name, shift = f"{knob.key} {move:+g}", {knob.key: move}
    old = earlier.runs.get(name)
    if old is not None and knob.first_step < earlier.same < len(old.saved):
        run = simulate(ground, shift, old, earlier.same, quiet=True, again=True)
    else:
        run = simulate(ground, shift, base, knob.first_step, quiet=True)
    earlier.runs[name] = run
    return measures(ground, run)


def _slight(moved: Mapping[Key, float], numbers: Mapping[Key, float]) -> bool:
    """Whether no number moves by more than a part that nobody would notice."""
    for key, value in numbers.items():
        limit = SMALL_STEP.get(key[0], SMALL_PART * abs(value))
        if abs(moved.get(key, value) - value) > limit:
            return False
    return True


def _solubilities(ground: Ground, base: Run) -> list[Moved]:
    """The solubility of every crop's main solid, up and down by the band of its curve."""
    found = []
    for row, part in crop_solids(ground, base).items():
        name = ground.chem.system.solids[row]
        first = _first_seen(ground, base, row)
        sides = []
        for sign in (-1.0, 1.0):
            other = with_solubility(ground, row, sign * part)
            run = simulate(other, {f"{SOLUBILITY}{name}": sign}, base, first, quiet=True)
            sides.append(measures(other, run))
        found.append(Moved(f"solubility of {name}, ± {part:.0%}", sides[0], sides[1]))
    return found


def crop_solids(ground: Ground, base: Run) -> dict[int, float]:
    """Rows of every crop's main solid, and the 90 % half-width of its solubility, relative."""
    mass, names = ground.chem.system.solid_mass, ground.chem.system.solids
    rows = [
        int((cake.solids * mass).argmax())
        for cake in base.findings.cakes.values()
        if cake.solids.size and cake.solids.max() > 0.0
    ]
    return {row: _curve_band(ground, names[row]) for row in rows}


def _in_solvents(ground: Ground, base: Run) -> list[Moved]:
    """What a solvent beside water does to the solubility of each crop's main solid."""
    found = []
    for move in solvent_moves(ground, base):
        sides = [
            measures(other, simulate(other, {move.label: sign}, base, move.first, quiet=True))
            for sign, other in ((-1.0, move.low), (1.0, move.high))
        ]
        found.append(Moved(move.label, sides[0], sides[1]))
    return found


def _curve_band(ground: Ground, name: str) -> float:
    solid = ground.bank.solids.get(name)
    bands = [
        p.band / p.value for p in (solid.curve if solid is not None else ()) if p.band and p.value
    ]
    own = sorted(bands)[len(bands) // 2] if bands else DEFAULT_SOLUBILITY
    return own if solid is None else max(own, spread(solid))


def _first_seen(ground: Ground, base: Run, row: int) -> int:
    for index, log in enumerate(base.logs):
        if any(i.solids.size and i.solids[row] > 0.0 for i in log.instants):
            return index
    return 0


def with_solubility(ground: Ground, row: int, part: float) -> Ground:
    """The ground with one solid more soluble by `part` (0.02: two per cent): its ln K moved by
    the number of dissolved particles times that."""
    system = ground.chem.system
    table = system.solid_lnk.copy()
    particles = float(abs(system.solid_nu[row, 2:]).sum())
    table[row] += max(particles, 1.0) * math.log1p(part)
    moved = replace(system, solid_lnk=table)
    return replace(ground, chem=replace(ground.chem, system=moved))
