"""A published composition as component amounts, and the engine's answer for it.

A composition is items separated by "; ", each `formula number unit`: `%` by mass of the solution,
`m` mol/kg water, `M` mol/L, `mol`, `g`. The rest is water when nothing is given in mol or g.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

import numpy as np

from firstcrop.bank.bank import Bank, load_bank
from firstcrop.bank.decompose import decompose
from firstcrop.forecast.assemble import assemble, assemble_without_solids
from firstcrop.liquor.solve import equilibrate
from firstcrop.liquor.state import State
from firstcrop.liquor.system import Floats, System
from firstcrop.problems import Problem

CLOSED = 1e9  # Pa: nothing leaves as gas
T0 = 298.15  # K
_ROUNDS = 12  # of the volume a molarity refers to


class NotComputable(Exception):  # noqa: N818
    """A published value the engine cannot be asked for; the message says why."""


@dataclass(frozen=True, slots=True)
class Answer:
    """The engine's value; `beyond`: past the ionic strength the activity model was fitted to,
    where it holds its coefficients as they are at the edge."""

    value: float
    beyond: bool = False


@dataclass(frozen=True, slots=True)
class Item:
    """One constituent as printed."""

    formula: str
    value: float
    unit: str


@cache
def bank() -> Bank:
    """The bank, read once."""
    return load_bank()


@cache
def parts(formula: str) -> tuple[tuple[str, float], ...]:
    """Components of a mole of `formula`, all of them known in solution."""
    if formula == "H2O":
        return (("H2O", 1.0),)
    if formula in bank().components:
        return ((formula, 1.0),)
    found = decompose(bank(), formula)
    if isinstance(found, Problem):
        raise NotComputable(f"{formula}: no components for it in the bank")
    missing = [key for key, _ in found if key not in bank().components]
    if missing:
        raise NotComputable(f"{missing[0]}: not a component of the bank")
    return found


def read(text: str) -> tuple[Item, ...]:
    """The items of a composition."""
    items = []
    for part in text.split(";"):
        if part.strip():
            formula, value, unit = part.strip().rsplit(" ", 2)
            items.append(Item(formula, float(value), unit))
    return tuple(items)


@cache
def system_of(keys: frozenset[str], solids: bool) -> System:
    """The system of some components, with or without solids."""
    maker = assemble if solids else assemble_without_solids
    return maker(bank(), keys).system


def system(formulas: Iterable[str], solids: bool = False) -> System:
    """The system these formulas need."""
    return system_of(frozenset(key for f in formulas for key, _ in parts(f)), solids)


def unit_amounts(chosen: System, formula: str) -> Floats:
    """Component amounts [C] of a mole of `formula`."""
    amounts = np.zeros(len(chosen.components))
    for key, count in parts(formula):
        amounts[chosen.components.index(key)] += count
    return amounts


def molar_mass(chosen: System, formula: str) -> float:
    """kg/mol by way of the components."""
    return float(unit_amounts(chosen, formula) @ chosen.component_mass)


def amounts(chosen: System, items: Iterable[Item], temperature: float) -> Floats:
    """Component amounts [C] mol. With 1 kg of water when none is given in mol or g."""
    items = tuple(items)
    if any(i.unit in ("mol", "g") for i in items):
        return _absolute(chosen, items)
    kilogram = unit_amounts(chosen, "H2O") / chosen.component_mass[0]
    if any(i.unit == "M" for i in items):
        return _from_molarity(chosen, items, kilogram, temperature)
    water = 100.0 - sum(i.value for i in items if i.unit == "%")
    total = kilogram if water > 0 else np.zeros_like(kilogram)
    for item in items:
        one = unit_amounts(chosen, item.formula)
        if item.unit == "%":
            scale = water if water > 0 else 100.0
            total = total + one * item.value / scale / float(one @ chosen.component_mass)
        elif item.unit == "m":
            total = total + one * item.value
        else:
            raise ValueError(f"unit {item.unit}")
    return np.asarray(total)


def _absolute(chosen: System, items: tuple[Item, ...]) -> Floats:
    total = np.zeros(len(chosen.components))
    for item in items:
        one = unit_amounts(chosen, item.formula)
        moles = item.value
        if item.unit == "g":
            moles = item.value * 1e-3 / float(one @ chosen.component_mass)
        total = total + moles * one
    return total


def _from_molarity(
    chosen: System, items: tuple[Item, ...], kilogram: Floats, temperature: float
) -> Floats:
    litres = 1.0
    for _ in range(_ROUNDS):
        moles = [unit_amounts(chosen, i.formula) * i.value * litres for i in items]
        total = np.asarray(kilogram + sum(moles))
        litres = solve(chosen, total, temperature).volume * 1e3
    return total


def solve(chosen: System, asked: Floats, temperature: float, pressure: float = CLOSED) -> State:
    """Equilibrium at `temperature` K, or NotComputable."""
    state = equilibrate(chosen, asked, temperature, pressure)
    if not state.ok:
        raise NotComputable(f"no answer: {state.outcome.name.lower().replace('_', ' ')}")
    return state


def liquor(text: str, celsius: float, pressure: float = CLOSED) -> tuple[System, Floats, State]:
    """System, amounts and state of a composition in which nothing crystallises."""
    items = read(text)
    chosen = system(i.formula for i in items)
    asked = amounts(chosen, items, celsius + 273.15)
    return chosen, asked, solve(chosen, asked, celsius + 273.15, pressure)
