"""Forecast a titration curve with the engine: equilibrium after each addition of titrant.

Acid-base titrations give pH, silver titrations pAg (activity), EDTA at pH 10 the p of the metal's
free ion (concentration). Redox states do not react with each other in the engine, so redox methods
get no curve: their ends are as sharp as their indicators, and what to take is still planned.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from firstcrop.bank.bank import Bank
from firstcrop.bank.lookup import substance_named
from firstcrop.bank.records import Stoichiometry
from firstcrop.forecast.assemble import assemble, assemble_without_solids
from firstcrop.laws.water_density_kell_1975 import water_density
from firstcrop.liquor.solve import equilibrate
from firstcrop.liquor.system import Floats, System
from firstcrop.problems import Problem, Severity
from firstcrop.shelf.assay_methods import find_counted, find_method
from firstcrop.shelf.assay_records import Counted, Method
from firstcrop.shelf.titration_chelate import (
    DISODIUM,
    METHOD,
    bank_with_edta,
    buffer,
    chelated,
)
from firstcrop.shelf.titration_indicators import indicators
from firstcrop.shelf.titration_records import Equivalence, TitrationForecast

Problems = tuple[Problem, ...]
CLOSED = 1e9  # Pa: no gas leaves during a titration
AROUND = 0.005  # part of the titre on either side over which a jump is counted
DROP = 5e-8  # m3
BEYOND = 1.5  # times the last equivalence: where the curve ends
SHARP, BLURRED = 2.0, 0.5  # of the jump, common practice
_ACID = ("acid by alkali", "alkali by acid")
_SILVER = "halide by silver"
_ESTIMATED = Problem(
    "assay.estimate",
    "The activity coefficients of EDTA's ions are estimates: past the end the curve may be off by "
    "about one unit; where it ends does not depend on them.",
    severity=Severity.NOTE,
)
_EVEN, _CLOSE = 60, 24  # points along the curve, and around each equivalence
_WATER = 18.01528e-3  # kg/mol


@dataclass(frozen=True, slots=True)
class _Setup:
    """What meets: parts in the flask (components of a mole, mol), components of a mole of titrant;
    `ion`: whose p is followed, empty for pH."""

    scale: str
    ion: str
    bank: Bank
    flask: tuple[tuple[Stoichiometry, float], ...]
    titrant: Stoichiometry


@dataclass(frozen=True, slots=True)
class _Titration:
    """One titration: component amounts in the flask and in 1 m3 of titrant."""

    system: System
    setup: _Setup
    flask: Floats  # mol
    titrant: Floats  # mol/m3
    temperature: float

    def value(self, volume: float) -> float:
        """pH, pAg (activity) or pM (molality) after `volume` m3; NaN where there is no solution."""
        amounts = self.flask + volume * self.titrant
        state = equilibrate(self.system, amounts, self.temperature, CLOSED)
        if not state.ok:
            return math.nan
        ion = self.setup.ion
        if not ion:
            return float(state.ph)
        if ion == "Ag+":
            place = self.system.components.index(ion)
            return -float(state.ln_activity[place]) / math.log(10.0)
        free = float(state.molalities[self.system.species.index(ion)])
        return -math.log10(free) if free > 0.0 else math.nan


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
    end = amount / strength / float(counted.ratio)
    setup = _setup(bank, method, counted, amount, volume)
    if isinstance(setup, str):
        only = Equivalence(end, math.nan, math.nan, math.nan, method.end)
        return TitrationForecast(
            method.key, counted.substance, method.titrant, strength, "", (), (), (only,), 0, (),
            why=f"There is no curve to draw: {setup}; the end is seen by: {method.end}.",
            end=method.end,
        )  # fmt: skip
    made = _titration(setup, volume, strength, temperature)
    parts = max(round(1.0 / float(counted.ratio)), 1) if setup.scale == "pH" else 1
    points = [end * k / parts for k in range(1, parts + 1)]
    return _forecast(made, method, counted.substance, strength, points)


def _setup(
    bank: Bank, method: Method, counted: Counted, amount: float, volume: float
) -> _Setup | str:
    """What meets in the flask, or why the engine cannot follow it."""
    sample, other = (substance_named(bank, n) for n in (counted.substance, method.titrant))
    if method.key == METHOD and sample:
        metal = chelated(counted, sample.components)
        if metal is None:
            return f"the engine has no EDTA complex of {counted.substance}"
        flask = ((metal.sample, amount), *buffer(volume))
        return _Setup(metal.scale, metal.ion, bank_with_edta(bank), flask, DISODIUM)
    if method.key not in (*_ACID, _SILVER):
        return "the engine lets no redox states react, and follows no back titration"
    if not sample or not other or not sample.components or not other.components:
        return f"the engine cannot dissolve {counted.substance}"
    scale, ion = ("pAg", "Ag+") if method.key == _SILVER else ("pH", "")
    return _Setup(scale, ion, bank, ((sample.components, amount),), other.components)


def _forecast(
    made: tuple[_Titration, tuple[str, ...]],
    method: Method,
    substance: str,
    strength: float,
    points: Sequence[float],
) -> TitrationForecast:
    titration, estimates = made
    volumes, values = _curve(titration, points)
    keep = np.isfinite(values)
    problems: Problems = (_ESTIMATED,) if method.key == METHOD else ()
    if not keep.all():
        message = "The engine found no equilibrium somewhere along the curve; gaps are left out."
        problems += (Problem("assay.titration", message, severity=Severity.WARNING),)
    counted, scale = len(points) - 1, titration.setup.scale
    return TitrationForecast(
        method.key,
        substance,
        method.titrant,
        strength,
        scale,
        tuple(volumes[keep].tolist()),
        tuple(values[keep].tolist()),
        tuple(_equivalence(titration.value, v) for v in points),
        counted,
        indicators(volumes[keep], values[keep], points, counted, scale),
        problems=problems,
        estimates=estimates,
        end=method.end,
    )


def _titration(
    setup: _Setup, volume: float, strength: float, temperature: float
) -> tuple[_Titration, tuple[str, ...]]:
    keys = frozenset(k for parts, _ in setup.flask for k, _ in parts)
    keys |= {k for k, _ in setup.titrant}
    put_together = assemble if setup.ion == "Ag+" else assemble_without_solids
    assembled = put_together(setup.bank, keys)
    water = float(water_density(temperature)) / _WATER  # mol/m3
    system = assembled.system
    flask = _amounts(system, setup.flask, volume * water)
    titrant = _amounts(system, ((setup.titrant, strength),), water)
    return _Titration(system, setup, flask, titrant, temperature), assembled.estimates


def _amounts(system: System, parts: Sequence[tuple[Stoichiometry, float]], water: float) -> Floats:
    """Component amounts of so many moles of each part in so many moles of water."""
    found = np.zeros(len(system.components))
    found[0] = water
    for components, moles in parts:
        for key, count in components:
            found[system.components.index(key)] += count * moles
    return found


def _curve(titration: _Titration, points: Sequence[float]) -> tuple[Floats, Floats]:
    """Volumes, closer around each equivalence, and the value at each."""
    close = np.geomspace(2e-5, 0.1, _CLOSE)
    near = [points[-1] * (p / points[-1] + s * close) for p in points for s in (-1.0, 1.0)]
    even = np.linspace(0.0, BEYOND * points[-1], _EVEN)
    volumes = np.unique(np.concatenate([even, *near, points]))
    volumes = volumes[(volumes >= 0.0) & (volumes <= BEYOND * points[-1])]
    if titration.setup.ion == "Ag+":
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
