"""Water mixed with another solvent: how far each solid's ln K moves, and equilibria with it moved.

For every salt the saturated solutions in the mixture (published ones, else a log-linear fall with
the volume fraction of the solvent) are put together and solved without solids, as the curves in
water are (`anchor.py`): ln K moves by what the sum of nu ln a there differs from that in water, so
that the published solubility comes out and common ions act through the model. The move is taken as
the same at every temperature. Hydrates of one salt move together, save for the activity of water,
where the model is set right by van Laar's equation.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from firstcrop.bank.bank import Bank
from firstcrop.bank.records import Solid
from firstcrop.bank.solvents import MixedPoint, Solvent, load_mixed, load_solvents, load_typical
from firstcrop.forecast.anchor import without_solids
from firstcrop.forecast.anchor_curve import monotone_cubic
from firstcrop.forecast.anchor_points import (
    ln_activity_product,
    saturated_amounts,
    stoichiometry,
)
from firstcrop.laws.activity_van_laar_1910 import ln_activity
from firstcrop.liquor.solve import equilibrate, equilibrate_heat
from firstcrop.liquor.state import State
from firstcrop.liquor.system import Floats, System

NODES = (0.0, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.98)  # kg/kg
FINE = 99  # rows of a table, evenly from 0 to the last node
MEASURED, ESTIMATE, SPARING, NONE = "measured", "estimate", "sparing", ""
WATER = 998.2  # kg/m3 at 20 °C (Kell 1975)
ROOM = 298.15  # K, where a curve in water is read when the mixture's data name no temperature
NO_GAS_LEAVES = 1e9  # Pa
SETTLED = 1e-10  # kg/kg of solvent that the composition still moves when it counts as found
MOST = 40
LEAST = 1e-9  # mol of a solvent that is none

Solve = Callable[[State | None, Floats | None], State]  # from a guess, ln K moved
Fall = Callable[[Floats], Floats]  # w [W] -> g of anhydrous salt per 100 g of water and solvent


@dataclass(frozen=True, slots=True, eq=False)
class Cosolvents:
    """V solvents, N solids of a System; w is kg of solvent per kg of it and free water.

    tables [V, FINE, N]: what is added to ln K. spread [V, N]: its 90 % half-width as a part of it.
    basis [V][N]: measured, estimate, sparing (hardly dissolves in water either), or none.
    """

    columns: tuple[int, ...]  # among components
    species: tuple[int, ...]
    mass: Floats  # [V] kg/mol
    solvents: tuple[Solvent, ...]
    grid: Floats  # [FINE]
    tables: Floats
    spread: Floats
    basis: tuple[tuple[str, ...], ...]

    def shift(self, w: Floats) -> Floats:
        """[N] for a mixture of w [V]; several solvents add up."""
        total = np.zeros(self.tables.shape[2])
        for v, here in enumerate(w):
            if here > 0.0:
                place = min(float(here), self.grid[-1]) / self.grid[-1] * (len(self.grid) - 1)
                k = min(int(place), len(self.grid) - 2)
                part = place - k
                total += (1.0 - part) * self.tables[v, k] + part * self.tables[v, k + 1]
        return total

    def of_amounts(self, wet: Floats) -> Floats:
        """w [V] when all the water is free."""
        kilograms = wet[list(self.columns)] * self.mass
        return np.asarray(kilograms / (kilograms + max(wet[0], 1e-12) * 0.0180153))

    def of_state(self, state: State) -> Floats:
        """w [V] of a liquor."""
        per_water = state.molalities[list(self.species)] * self.mass
        return np.asarray(per_water / (per_water + 1.0))

    def moved(self, solid: int, sign: float) -> Cosolvents:
        """The same with one solid's move larger (+1) or smaller (-1) by its spread."""
        tables = self.tables.copy()
        tables[:, :, solid] *= (1.0 + sign * self.spread[:, solid])[:, None]
        return replace(self, tables=tables)


def settle(
    system: System,
    mix: Cosolvents | None,
    wet: Floats,
    temperature: float,
    pressure: float,
    guess: State | None = None,
) -> State:
    """Equilibrium of `wet` [C] mol, whatever it is a solution in."""

    def solve(start: State | None, shift: Floats | None) -> State:
        return equilibrate(system, wet, temperature, pressure, start, shift)

    return _settled(mix, wet, guess, solve)


def settle_heat(
    system: System,
    mix: Cosolvents | None,
    wet: Floats,
    enthalpy: float,
    extra: tuple[float, float],
    pressure: float,
    guess: State | None = None,
) -> State:
    """The same at the temperature where it and inert matter (`extra`) hold `enthalpy` J."""

    def solve(start: State | None, shift: Floats | None) -> State:
        return equilibrate_heat(system, wet, enthalpy, extra, pressure, start, shift)

    return _settled(mix, wet, guess, solve)


def _settled(mix: Cosolvents | None, wet: Floats, guess: State | None, solve: Solve) -> State:
    """The state whose own composition is the one its solids' ln K were moved for."""
    if mix is None or not np.any(wet[list(mix.columns)] > LEAST):
        return solve(guess, None)
    w = mix.of_amounts(wet) if guess is None else mix.of_state(guess)
    if guess is not None and not np.all(np.isfinite(w) & (w > 0.0)):
        w = mix.of_amounts(wet)
    old: tuple[Floats, Floats] | None = None
    state = solve(guess, mix.shift(w))
    for _ in range(MOST):
        if not state.ok:
            return state
        here = mix.of_state(state)
        if float(np.abs(here - w).max()) < SETTLED:
            return state
        w, old = _nearer(w, here, old), (w, here)
        state = solve(state, mix.shift(w))
    return state


def _nearer(w: Floats, here: Floats, old: tuple[Floats, Floats] | None) -> Floats:
    """The composition to try next: a secant step where one is to be had, else what came out."""
    if old is None:
        return here
    gap, before = here - w, old[1] - old[0]
    change = gap - before
    with np.errstate(divide="ignore", invalid="ignore"):
        step = -gap * (w - old[0]) / change
    sound = np.isfinite(step) & (np.abs(step) < 10.0 * np.abs(gap) + 1e-12)
    return np.clip(np.where(sound, w + step, here), 0.0, 1.0)


@lru_cache(maxsize=64)
def cosolvents(bank: Bank, system: System) -> Cosolvents | None:
    """What the bank knows of the solvents among a system's components; None when it has none."""
    here = [s for key, s in load_solvents().items() if key in system.components]
    if not here:
        return None
    bare = without_solids(system)
    grid = np.linspace(0.0, NODES[-1], FINE)
    tables = np.zeros((len(here), FINE, len(system.solids)))
    spread = np.zeros((len(here), len(system.solids)))
    basis: list[tuple[str, ...]] = []
    for v, solvent in enumerate(here):
        moves = _Moves(bank, bare, solvent)
        rows = [moves.of(bank.solids[key]) for key in system.solids]
        basis.append(tuple(row[2] for row in rows))
        for n, (nodes, part, _) in enumerate(rows):
            tables[v, :, n] = monotone_cubic(np.array(NODES), nodes, grid)
            spread[v, n] = part
    columns = tuple(system.components.index(s.component) for s in here)
    return Cosolvents(
        columns=columns,
        species=tuple(system.species.index(s.component) for s in here),
        mass=system.component_mass[list(columns)],
        solvents=tuple(here),
        grid=grid,
        tables=tables,
        spread=spread,
        basis=tuple(basis),
    )


class _Moves:
    """The moves of ln K at NODES, one salt's hydrates after another."""

    def __init__(self, bank: Bank, bare: System, solvent: Solvent) -> None:
        self.bank, self.bare, self.solvent = bank, bare, solvent
        self.column = bare.components.index(solvent.component)
        self.kg_mol = float(bare.component_mass[self.column])
        self.water = self._water_gap()
        self.known: dict[str, tuple[Floats, float, str, float]] = {}

    def of(self, solid: Solid) -> tuple[Floats, float, str]:
        """(move [W], spread, basis) of a solid."""
        if solid.anhydrous not in self.known:
            self.known[solid.anhydrous] = self._salt(solid.anhydrous)
        move, spread, basis, water = self.known[solid.anhydrous]
        if basis == NONE:
            return move, spread, basis
        return move + (solid.water - water) * self.water, spread, basis

    def _water_gap(self) -> Floats:
        """ln a of water as the model has it less what van Laar's equation gives, at NODES."""
        found = []
        for w in NODES:
            state = self._solve(self._amounts(w), ROOM)
            moles = w / (1.0 - w) / self.kg_mol
            share = 55.508 / (55.508 + moles)
            true = ln_activity(share, (self.solvent.water, self.solvent.own))
            found.append(state.ln_a_water - true)
        return np.array(found)

    def _amounts(self, w: float) -> Floats:
        """A kilogram of water [C] with solvent up to w."""
        amounts = np.zeros(len(self.bare.components))
        amounts[0] = 1.0 / self.bare.component_mass[0]
        amounts[self.column] = w / (1.0 - w) / self.kg_mol
        return amounts

    def _solve(self, amounts: Floats, temperature: float) -> State:
        return equilibrate(self.bare, amounts, temperature, NO_GAS_LEAVES)

    def _salt(self, anhydrous: str) -> tuple[Floats, float, str, float]:
        """(move, spread, basis, water) of the hydrate whose solubility is known best."""
        present = set(self.bare.components)
        kin = [
            s
            for s in self.bank.solids.values()
            if s.anhydrous == anhydrous and all(key in present for key, _ in s.components)
        ]
        measured = [s for s in kin if (s.key, self.solvent.component) in load_mixed()]
        level = np.zeros(len(NODES))
        if measured:
            solid = measured[0]
            points = load_mixed()[solid.key, self.solvent.component]
            temperature = points[0].point.temperature
            fall = self._published(solid, points)
            return self._moved(solid, fall, temperature), _scatter(points), MEASURED, solid.water
        sigma = self._typical(kin[0])
        curved = [s for s in kin if s.curve and s.stable[0] <= ROOM <= s.stable[1]]
        curved = curved or [s for s in kin if s.curve]
        if not curved:
            return level, 0.0, SPARING, kin[0].water
        if sigma is None:
            return level, 0.0, NONE, kin[0].water
        solid = curved[0]
        temperature = _within(solid, ROOM)
        fall = self._log_linear(_in_water(solid, temperature), sigma[0])
        return self._moved(solid, fall, temperature), sigma[1], ESTIMATE, solid.water

    def _log_linear(self, in_water: float, sigma: float) -> Fall:
        def fall(w: Floats) -> Floats:
            return np.asarray(in_water * 10.0 ** (-sigma * self._volume(w)))

        return fall

    def _volume(self, w: Floats) -> Floats:
        """Volume fraction of the solvent before mixing."""
        part = w / self.solvent.density.value
        return np.asarray(part / (part + (1.0 - w) / WATER))

    def _published(self, solid: Solid, points: tuple[MixedPoint, ...]) -> Fall:
        """Through the points, with the water's own before them and the last fall beyond."""
        temperature = points[0].point.temperature
        x = self._volume(np.array([0.0, *(p.w for p in points)]))
        y = np.log([_in_water(solid, temperature), *(p.point.value for p in points)])
        slope = (y[-1] - y[-2]) / (x[-1] - x[-2])

        def fall(w: Floats) -> Floats:
            f = self._volume(w)
            inside = monotone_cubic(x, y, np.minimum(f, x[-1]))
            return np.asarray(np.exp(inside + slope * np.maximum(f - x[-1], 0.0)))

        return fall

    def _moved(self, solid: Solid, fall: Fall, temperature: float) -> Floats:
        """ln of the activity product of the saturated mixtures, less that of the one in water."""
        nu = stoichiometry(self.bare, solid)
        unit = saturated_amounts(self.bare, solid, 1.0) - self._amounts(0.0)  # of 1 g in 100 g
        values = fall(np.array(NODES))
        found: list[float] = []
        for w, value in zip(NODES, values, strict=True):
            amounts = self._amounts(w) + unit * (value / (1.0 - w))
            state = self._solve(amounts, temperature)
            product = ln_activity_product(state, nu) if state.ok else np.nan
            found.append(product if np.isfinite(product) else _ahead(found))
        return np.array(found) - found[0]

    def _typical(self, solid: Solid) -> tuple[float, float] | None:
        """(sigma, spread) usual for the charges of a salt's ions; None for what is no salt."""
        rows = load_typical().get(self.solvent.component, ())
        mean = mean_square_charge(self.bare, stoichiometry(self.bare, solid))
        if mean is None or not rows:
            return None
        row = [r for r in rows if r.charge <= mean][-1] if mean >= rows[0].charge else rows[0]
        return row.sigma.value, (row.high - row.low) / 2.0 / row.sigma.value


def mean_square_charge(system: System, nu: Floats) -> float | None:
    """Mean z2 of a salt's ions, protons counted to their anions; None for what has no cation but
    the proton, no anion, or takes up protons in dissolving."""
    charge = system.component_charge
    cations = np.flatnonzero((nu > 0.0) & (charge > 0.0))
    cations = cations[cations > 1]
    anions = np.flatnonzero((nu > 0.0) & (charge < 0.0))
    neutral = np.flatnonzero((nu > 0.0) & (charge == 0.0))
    if not len(cations) or not len(anions) or nu[1] < 0.0 or np.any(neutral > 0):
        return None
    count = float(nu[anions].sum())
    z = np.abs(charge[anions]) - float(nu[1]) / count
    squares = float(nu[cations] @ charge[cations] ** 2 + nu[anions] @ z**2)
    return squares / float(nu[cations].sum() + count)


def _in_water(solid: Solid, temperature: float) -> float:
    """g per 100 g of water from a solid's curve."""
    found = {p.temperature: p.value for p in solid.curve}
    return float(np.interp(temperature, list(found), list(found.values())))


def _within(solid: Solid, temperature: float) -> float:
    low, high = solid.curve[0].temperature, solid.curve[-1].temperature
    return min(max(temperature, low), high)


def _scatter(points: Sequence[MixedPoint]) -> float:
    """Relative error of the published points as a part of the fall they tell, at the last."""
    last = points[-1].point
    fallen = abs(np.log(points[0].point.value / last.value)) if len(points) > 1 else 1.0
    return float(last.band / last.value / max(fallen, 1.0))


def _ahead(found: Sequence[float]) -> float:
    """Where a mixture could not be solved: on along the last two."""
    return 2.0 * found[-1] - found[-2] if len(found) > 1 else found[-1]
