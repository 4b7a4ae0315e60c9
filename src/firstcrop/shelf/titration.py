"""Forecast a titration curve with the engine: equilibrium after each addition of titrant.

Acid-base titrations give pH, silver titrations pAg (activities). Redox states do not react with
each other in the engine and EDTA is not in its tables, so those methods get no curve: their ends
are as sharp as their indicators, and what to take is still planned.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from firstcrop.bank.bank import Bank
from firstcrop.bank.lookup import substance_named
from firstcrop.bank.records import Substance
from firstcrop.forecast.assemble import assemble, assemble_without_solids
from firstcrop.laws.water_density_kell_1975 import water_density
from firstcrop.liquor.solve import equilibrate
from firstcrop.liquor.state import State
from firstcrop.liquor.system import Floats, System
from firstcrop.problems import Problem, Severity
from firstcrop.shelf.assay_methods import find_counted, find_method
from firstcrop.shelf.titration_indicators import indicators
from firstcrop.shelf.titration_records import Equivalence, TitrationForecast

Problems = tuple[Problem, ...]
CLOSED = 1e9  # Pa: no gas leaves during a titration
AROUND = 0.005  # part of the titre on either side over which a jump is counted
DROP = 5e-8  # m3
BEYOND = 1.5  # times the last equivalence: where the curve ends
SHARP, BLURRED = 2.0, 0.5  # of the jump, common practice
_SCALES = (("acid by alkali", "pH"), ("alkali by acid", "pH"), ("halide by silver", "pAg"))
_EVEN, _CLOSE = 60, 24  # points along the curve, and around each equivalence
_WATER = 18.01528e-3  # kg/mol


@dataclass(frozen=True, slots=True)
class _Titration:
    """One titration: component amounts in the flask and in 1 m3 of titrant."""

    system: System
    scale: str
    flask: Floats  # mol
    titrant: Floats  # mol/m3
    temperature: float

    def state(self, volume: float, guess: State | None = None) -> State:
        """Equilibrium after `volume` m3 of titrant."""
        amounts = self.flask + volume * self.titrant
        return equilibrate(self.system, amounts, self.temperature, CLOSED, guess)

    def value(self, volume: float) -> float:
        """pH or pAg; NaN where there is no solution."""
        state = self.state(volume)
        if not state.ok:
            return math.nan
        if self.scale == "pH":
            return float(state.ph)
        silver = self.system.components.index("Ag+")
        return -float(state.ln_activity[silver]) / math.log(10.0)


def forecast_titration(
    method_key: str,
    substance: str,
    amount: float,
    volume: float,
    strength: float,
    bank: Bank,
    temperature: float = 298.15,
) -> TitrationForecast | Problems:
    """The curve of `amount` mol of a substance in `volume` m3 of water against a titrant of
    `strength` mol/m3, at K. Codes: assay.method, assay.substance, assay.titration.
    """
    method = find_method(method_key)
    if isinstance(method, Problem):
        return (method,)
    counted = find_counted(method, substance, bank)
    if isinstance(counted, Problem):
        return (counted,)
    if not (amount > 0.0 and volume > 0.0 and strength > 0.0):
        return (Problem("assay.titration", "A titration needs a sample, water and a titrant."),)
    scale = dict(_SCALES).get(method.key, "")
    end = amount / strength / float(counted.ratio)
    if not scale:
        why = (
            "The engine keeps redox states and EDTA apart, so there is no curve to draw; the end "
            f"is seen by: {method.end}."
        )
        only = Equivalence(end, math.nan, math.nan, math.nan, method.end)
        return TitrationForecast(
            method.key, counted.substance, method.titrant, strength, "", (), (), (only,), 0, (),
            why=why,
        )  # fmt: skip
    names = (counted.substance, method.titrant)
    made = _titration(bank, names, amount, volume, strength, scale, temperature)
    if isinstance(made, Problem):
        return (made,)
    parts = max(round(1.0 / float(counted.ratio)), 1) if scale == "pH" else 1
    points = [end * k / parts for k in range(1, parts + 1)]
    return _forecast(made, method.key, names, strength, points)


def _forecast(
    made: tuple[_Titration, tuple[str, ...]],
    method: str,
    names: tuple[str, str],
    strength: float,
    points: Sequence[float],
) -> TitrationForecast:
    titration, estimates = made
    volumes, values = _curve(titration, points)
    keep = np.isfinite(values)
    problems: Problems = ()
    if not keep.all():
        message = "The engine found no equilibrium somewhere along the curve; gaps are left out."
        problems = (Problem("assay.titration", message, severity=Severity.WARNING),)
    counted, scale = len(points) - 1, titration.scale
    return TitrationForecast(
        method,
        *names,
        strength,
        scale,
        tuple(volumes[keep].tolist()),
        tuple(values[keep].tolist()),
        tuple(_equivalence(titration.value, v) for v in points),
        counted,
        indicators(volumes[keep], values[keep], points, counted, scale),
        problems=problems,
        estimates=estimates,
    )


def _titration(
    bank: Bank,
    names: tuple[str, str],
    amount: float,
    volume: float,
    strength: float,
    scale: str,
    temperature: float,
) -> tuple[_Titration, tuple[str, ...]] | Problem:
    sample, other = (substance_named(bank, name) for name in names)
    if not sample or not other or not sample.components or not other.components:
        return Problem("assay.titration", f"The engine cannot dissolve {names[0]}.")
    keys = frozenset(k for s in (sample, other) for k, _ in s.components)
    assembled = assemble(bank, keys) if scale == "pAg" else assemble_without_solids(bank, keys)
    water = float(water_density(temperature)) / _WATER  # mol/m3
    system = assembled.system
    return (
        _Titration(
            system,
            scale,
            _amounts(system, sample, amount, volume * water),
            _amounts(system, other, strength, water),
            temperature,
        ),
        assembled.estimates,
    )


def _amounts(system: System, substance: Substance, moles: float, water: float) -> Floats:
    """Component amounts of so many moles in so many moles of water."""
    found = np.zeros(len(system.components))
    found[0] = water
    for key, count in substance.components:
        found[system.components.index(key)] += count * moles
    return found


def _curve(titration: _Titration, points: Sequence[float]) -> tuple[Floats, Floats]:
    """Volumes, closer around each equivalence, and the value at each."""
    close = np.geomspace(2e-5, 0.1, _CLOSE)
    near = [points[-1] * (p / points[-1] + s * close) for p in points for s in (-1.0, 1.0)]
    even = np.linspace(0.0, BEYOND * points[-1], _EVEN)
    volumes = np.unique(np.concatenate([even, *near, points]))
    volumes = volumes[(volumes >= 0.0) & (volumes <= BEYOND * points[-1])]
    if titration.scale == "pAg":
        volumes = volumes[volumes > 0.0]
    return volumes, np.array([titration.value(float(v)) for v in volumes])


def _equivalence(value: Callable[[float], float], volume: float) -> Equivalence:
    jump = abs(value(volume * (1.0 + AROUND)) - value(volume * (1.0 - AROUND)))
    drop = abs(value(volume + DROP / 2.0) - value(volume - DROP / 2.0))
    if not jump >= BLURRED:
        words = "too blurred to be seen"
    else:
        words = "sharp" if jump >= SHARP else "seen with care, against a reference colour"
    return Equivalence(volume, value(volume), jump, drop, words)
