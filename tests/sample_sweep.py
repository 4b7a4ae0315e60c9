"""Random liquors of the bank's own chemistry, and what must hold of each one's equilibrium."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np

from firstcrop.bank.bank import Bank
from firstcrop.forecast.assemble import assemble
from firstcrop.liquor.compiled import entry
from firstcrop.liquor.pack import Chem, pack
from firstcrop.liquor.pitzer import WATER_MASS, activities, at_temperature, prepare
from firstcrop.liquor.solve import equilibrate
from firstcrop.liquor.state import State
from firstcrop.liquor.system import Floats, System

MOST_COMPONENTS, MOST_SOLIDS = 12, 10
LOW, HIGH = 1e-9, 15.0  # mol/kg
COLD, HOT = 268.15, 383.15  # K
A_SYSTEM = 625  # liquors made of each set of components
BALANCE = 1e-10  # relative
ALIKE = 1e-6  # relative, of water and of solids, between starting guesses
CHECKS = (
    "mass balance",
    "charge balance",
    "crystals beyond matter",
    "another guess",
    "Gibbs energy",
)
EPSILON = 1e-3  # part of each thing that a neighbour may be away
NEIGHBOURS = 4
ROUNDING = 1e-12  # of the sum of the sizes of the terms of G


@dataclass(slots=True)
class Tally:
    """How the liquors ended, and of the solved ones how many failed what (with examples)."""

    liquors: int = 0
    outcomes: Counter[str] = field(default_factory=Counter)
    failed: Counter[str] = field(default_factory=Counter)
    compared: Counter[str] = field(default_factory=Counter)
    examples: dict[str, tuple[int, int]] = field(default_factory=dict)

    def fail(self, what: str, example: tuple[int, int]) -> None:
        """Count a failure; keep the first of its kind."""
        self.failed[what] += 1
        self.examples.setdefault(what, example)


def system_of(bank: Bank, seed: int) -> System:
    """Water, acid, chloride and up to nine more components, with up to ten of their solids."""
    chance = np.random.default_rng(seed)
    names = [k for k in bank.components if k not in ("H2O", "H+", "Cl-")]
    chosen = chance.choice(names, chance.integers(1, MOST_COMPONENTS - 2), replace=False)
    system = assemble(bank, [str(c) for c in chosen]).system
    kept = np.sort(chance.permutation(len(system.solids))[:MOST_SOLIDS])
    parts = ("solid_nu", "solid_lnk", "solid_h", "solid_cp", "solid_volume", "solid_mass")
    return replace(
        system,
        solids=tuple(system.solids[k] for k in kept),
        **{p: getattr(system, p)[kept] for p in parts},
    )


def liquors(system: System, seed: int, count: int) -> Iterator[tuple[Floats, float]]:
    """Amounts [C] mol and temperatures K; the charge is made up by counter-ions, by acid or, to a
    tenth of what there is, by base."""
    chance = np.random.default_rng(seed)
    z = system.component_charge
    size = len(z)
    for _ in range(count):
        moles = 10.0 ** chance.uniform(np.log10(LOW), np.log10(HIGH), size)
        moles[chance.random(size) < 0.3] = 0.0
        moles[0] = 1.0 / WATER_MASS
        spare = float(moles[2:] @ z[2:])
        acid = chance.choice([0.0, 0.3, 1.0, -0.1], p=[0.5, 0.2, 0.2, 0.1]) * abs(spare)
        moles[1] = acid
        spare += acid
        others = np.flatnonzero((z * spare < 0.0) & (np.arange(size) > 1))
        if len(others):
            other = others[np.argmax(moles[others])]
            moles[other] += abs(spare / z[other])
        else:
            moles[1] -= spare
        moles[1] = -float(moles[2:] @ z[2:])
        moles[0] -= min(0.0, moles[1])
        yield moles * 10.0 ** chance.uniform(-3.0, 1.0), float(chance.uniform(COLD, HOT))


def sweep(bank: Bank, seeds: range, each: int = A_SYSTEM) -> Tally:
    """`each` liquors of every system of `seeds`, solved and examined."""
    tally = Tally()
    for seed in seeds:
        system = system_of(bank, seed)
        other: State | None = None
        chance = np.random.default_rng(seed)
        for n, (moles, temperature) in enumerate(liquors(system, seed, each)):
            state = equilibrate(system, moles, temperature)
            tally.liquors += 1
            tally.outcomes[state.outcome.name] += 1
            if state.ok:
                examine(tally, system, state, other, chance, (seed, n))
                other = state
    return tally


def examine(
    tally: Tally,
    system: System,
    state: State,
    other: State | None,
    chance: np.random.Generator,
    example: tuple[int, int],
) -> None:
    """Everything that must hold of a solved liquor."""
    if state.residual > BALANCE:
        tally.fail("mass balance", example)
    charges = state.molalities * state.water * system.z
    put_in = np.abs(state.amounts * system.component_charge).sum()
    if abs(charges.sum()) > BALANCE * max(np.abs(charges).sum(), put_in):
        tally.fail("charge balance", example)
    held = state.solids @ system.solid_nu
    if np.any(held[2:] > state.amounts[2:] * (1.0 + 1e-9)):
        tally.fail("crystals beyond matter", example)
    if other is not None:
        again = equilibrate(system, state.amounts, state.temperature, guess=other)
        tally.compared["another guess"] += 1
        if not (again.ok and alike(system, state, again)):
            tally.fail("another guess", example)
    lower = lower_neighbour(system, state, chance)
    if lower is not None:
        tally.compared["Gibbs energy"] += 1
        if lower:
            tally.fail("Gibbs energy", example)


def alike(system: System, one: State, other: State) -> bool:
    """Whether two states hold the same water and the same crystals."""
    water = abs(one.water - other.water) <= ALIKE * one.water + BALANCE * one.mass
    gaps = np.abs((one.solids - other.solids) * system.solid_mass)
    return bool(water and np.all(gaps <= ALIKE * one.mass))


def lower_neighbour(system: System, state: State, chance: np.random.Generator) -> bool | None:
    """Whether matter moved at random between water, species, crystals and gas, each by up to
    EPSILON of itself, balances kept, lowers G at the same temperature and pressure; each time one
    absent solid may form.

    None beyond the range of the activity model, where the coefficients kept are those of its edge
    and no longer the slopes of one G.
    """
    chem, _ = pack(system)
    species, solids = len(system.species), len(system.solids)
    water = np.eye(1, len(system.components))
    rows = np.vstack([water, system.nu, system.solid_nu, system.gas_nu])
    here = np.concatenate(
        [[state.water / WATER_MASS], state.molalities * state.water, state.solids, state.gas]
    )

    def energy(n: Floats) -> tuple[float, float, float]:
        wet, dry, gas = np.split(n, [species + 1, species + 1 + solids])
        return gibbs(chem, state.temperature, state.pressure * 1e-5, wet, dry, gas)

    base, size, reach = energy(here)
    if reach > 1.0:
        return None
    possible = np.flatnonzero(np.isfinite(state.saturation) & (state.solids == 0.0))
    for _ in range(NEIGHBOURS):
        room, new = here.copy(), -1
        if len(possible):
            new = species + 1 + int(chance.choice(possible))
            room[new] = EPSILON * here[0]
        move = balanced(rows, room, chance.uniform(-1.0, 1.0, len(room)))
        for sign in (1.0, -1.0):
            if new >= 0 and sign * move[new] < 0.0:
                continue
            if energy(here + sign * move)[0] < base - ROUNDING * size:
                return True
    return False


def balanced(rows: Floats, room: Floats, wish: Floats) -> Floats:
    """A move near `wish` times `room` (which holds how much may move) that changes no component's
    total, no part by more than EPSILON of its room."""
    held = (rows * room[:, None]).T  # [C, parts]
    held = held[np.any(held != 0.0, axis=1)]
    held /= np.linalg.norm(held, axis=1)[:, None]
    for _ in range(2):  # twice: the second takes out what rounding left
        wish = wish - np.linalg.lstsq(held, held @ wish, rcond=1e-12)[0]
    return EPSILON * room * wish / max(float(np.abs(wish).max()), 1e-300)


@entry
def gibbs(
    chem: Chem, temperature: float, pressure: float, amounts: Floats, solids: Floats, gas: Floats
) -> tuple[float, float, float]:
    """G/RT above the components' standard states, mol, the sum of its terms' sizes, and how far
    the activity model is followed, 1 at its edge. `amounts` are moles of water and of the species;
    `pressure` in bar."""
    now = prepare(chem)
    at_temperature(chem, now, temperature)
    kilograms = amounts[0] * WATER_MASS
    molality = amounts[1:] / kilograms
    total = amounts[0] * activities(chem, now, molality, 0, 1.0)
    size = abs(total)
    for s in range(len(molality)):
        if molality[s] > 0.0:
            term = amounts[s + 1] * (np.log(molality[s]) + now.lng[s] - now.lnk[s])
            total += term
            size += abs(term)
    for k in range(len(solids)):
        if solids[k] > 0.0:
            total += solids[k] * now.solid_lnk[k]
            size += abs(solids[k] * now.solid_lnk[k])
    moles = gas.sum()
    for g in range(len(gas)):
        if gas[g] > 0.0:
            term = gas[g] * (np.log(pressure * gas[g] / moles) - now.gas_lnk[g])
            total += term
            size += abs(term)
    return total, size, (molality * chem.reach).sum() / chem.limits[0]
