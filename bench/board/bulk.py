"""Density, heat capacity, heats of solution, mixing and reaction as the board asks for them."""

from __future__ import annotations

import numpy as np

from firstcrop.bank.lookup import find_substance
from firstcrop.bank.records import Substance
from firstcrop.laws.equilibrium_constant_temperature import ln_k
from firstcrop.liquor.solve import equilibrate, equilibrate_heat
from firstcrop.liquor.system import Floats, System
from firstcrop.problems import Problem

from .mixture import (
    CLOSED,
    T0,
    Item,
    NotComputable,
    amounts,
    bank,
    liquor,
    molar_mass,
    parts,
    read,
    solve,
    system,
    system_of,
    unit_amounts,
)
from .solution import ions
from .tables import Row

_STEP = 0.05  # K


def density(row: Row) -> float:
    """g/cm3."""
    _, _, state = liquor(row.composition, row.temperature)
    return state.mass / state.volume * 1e-3


def heat_capacity(row: Row) -> float:
    """J/(g K), equilibrium shifting with temperature as it does in the calorimeter."""
    chosen, asked, state = liquor(row.composition, row.temperature)
    ends = [
        equilibrate(chosen, asked, state.temperature + d, CLOSED, state).enthalpy
        for d in (-_STEP, _STEP)
    ]
    return (ends[1] - ends[0]) / (2.0 * _STEP) / state.mass * 1e-3


def heat_of_solution(row: Row) -> float:
    """kJ per mol of the substance `what` dissolving at the row's temperature; `composition` is
    the solution, whose first item is that substance; "inf" of water: infinite dilution."""
    kelvin = row.temperature + 273.15
    formation = _pure_enthalpy(row.what, kelvin)
    items = read(row.composition)
    if any(np.isinf(i.value) for i in items):
        if "ion pair" in row.note:
            raise NotComputable("the table counts an ion pair the bank does not have")
        ionised = "completely ionised" in row.note
        return (_infinitely_dilute(items[0].formula, ionised) - formation) * 1e-3
    chosen, asked, state = liquor(row.composition, row.temperature)
    water = _water_enthalpy(chosen, kelvin)
    first = items[0]
    moles = _moles(chosen, first)
    free = float(asked[0] - moles * unit_amounts(chosen, first.formula)[0])
    return (state.enthalpy - free * water - moles * formation) / moles * 1e-3


def heat_of_ionisation(row: Row) -> float:
    """kJ/mol of a reaction between species at infinite dilution, `a + b = c + d`."""
    gap = 0.01
    kelvin = row.temperature + 273.15
    slope = (
        _reaction(row.composition, kelvin + gap) - _reaction(row.composition, kelvin - gap)
    ) / (2 * gap)
    return 8.31446261815324 * kelvin**2 * slope * 1e-3


def acid_constant(row: Row) -> float:
    """pK of a reaction between species, `a + b = c + d`."""
    return -_reaction(row.composition, row.temperature + 273.15) / float(np.log(10.0))


def heat_of_mixing(row: Row) -> float:
    """kJ per mol of the first item, at constant temperature; portions separated by " | "."""
    kelvin = row.temperature + 273.15
    chosen, portions = _portions(row, kelvin)
    before = sum(h for _, h in portions)
    after = solve(chosen, np.sum([a for a, _ in portions], axis=0), kelvin).enthalpy
    first = read(row.composition.split("|")[0].rpartition(" of ")[2])[0]
    lead = int(np.argmax(np.abs(unit_amounts(chosen, first.formula)[1:]))) + 1
    moles = float(portions[0][0][lead] / unit_amounts(chosen, first.formula)[lead])
    return (after - before) / moles * 1e-3


def temperature_rise(row: Row) -> float:
    """K, portions at the row's temperature put together in a vessel that loses nothing; a note
    "cup 13.5 J/K" gives the vessel's heat capacity."""
    kelvin = row.temperature + 273.15
    chosen, portions = _portions(row, kelvin)
    cup = float(row.note.split("cup ")[1].split()[0]) if "cup " in row.note else 0.0
    heat = sum(h for _, h in portions) + cup * (kelvin - T0)
    total = np.sum([a for a, _ in portions], axis=0)
    state = equilibrate_heat(chosen, total, heat, (0.0, cup))
    if not state.ok:
        raise NotComputable(f"no answer: {state.outcome.name.lower()}")
    return state.temperature - kelvin


def pure(formula: str) -> Substance:
    """The bank's substance of this formula or name."""
    found = find_substance(bank(), formula)
    if isinstance(found, Problem):
        raise NotComputable(f"{formula}: not a substance of the bank")
    return found


def _portions(row: Row, kelvin: float) -> tuple[System, list[tuple[Floats, float]]]:
    """Component amounts and enthalpy of each portion. `50 mL of HCl 1 M` and `20 g of ...` say how
    much of a solution; without it, the solution with 1 kg of water, or what mol and g say."""
    texts = [t.strip().partition(" of ") for t in row.composition.split("|")]
    split = [(head, tail) if tail else ("", head) for head, _, tail in texts]
    chosen = system(i.formula for _, text in split for i in read(text))
    return chosen, [_portion(chosen, size, read(text), kelvin) for size, text in split]


def _portion(
    chosen: System, size: str, items: tuple[Item, ...], kelvin: float
) -> tuple[Floats, float]:
    asked = amounts(chosen, items, kelvin)
    if len(items) == 1 and items[0].unit in ("mol", "g") and items[0].formula != "H2O":
        substance = pure(items[0].formula)
        moles = _moles(chosen, items[0])
        rise = _heat_capacity(substance) * (kelvin - T0)
        return asked, moles * (_formation(substance) + rise)
    state = solve(chosen, asked, kelvin)
    if not size:
        return asked, state.enthalpy
    value, unit = size.split()
    whole = state.mass * 1e3 if unit == "g" else state.volume * 1e6
    scale = float(value) / whole
    return asked * scale, state.enthalpy * scale


def _moles(chosen: System, item: Item) -> float:
    if item.unit == "g":
        return item.value * 1e-3 / molar_mass(chosen, item.formula)
    return item.value


def _pure_enthalpy(name: str, kelvin: float) -> float:
    """J/mol of a pure substance, or of a gas where the name ends in (g)."""
    gas = bank().gases.get(name)
    if gas is not None and gas.formation is not None:
        cp = gas.cp.value if gas.cp else 0.0
        return gas.formation.value + cp * (kelvin - T0)
    substance = pure(name)
    return _formation(substance) + _heat_capacity(substance) * (kelvin - T0)


def _infinitely_dilute(formula: str, ionised: bool) -> float:
    """J/mol of a strong electrolyte as its ions, of a weak one as the molecule; crystal water as
    water."""
    water = bank().components["H2O"].formation.value
    whole = dict(parts(formula))
    if ionised and not any(n < 0 for k, n in whole.items() if k == "H+"):
        return sum(n * (_dissolved(k) if k != "H2O" else water) for k, n in ions(formula)) + (
            whole.get("H2O", 0.0) * water
        )
    for species in bank().species.values():
        made = dict(species.components)
        same = {k: n for k, n in made.items() if k != "H2O"}
        if not species.charge and same == {k: n for k, n in whole.items() if k != "H2O"}:
            rest = whole.get("H2O", 0.0) - made.get("H2O", 0.0)
            return _dissolved(species.key) + rest * water
    total = whole.get("H2O", 0.0) * water
    for key, count in ions(formula):
        total += count * _dissolved(key)
        if key in bank().species:
            total -= count * dict(bank().species[key].components).get("H2O", 0.0) * water
    return total


def _dissolved(key: str) -> float:
    """J/mol of a component or species at infinite dilution."""
    known = bank().components
    if key in known:
        return known[key].formation.value
    species = bank().species[key]
    chosen = system_of(frozenset(k for k, _ in species.components), False)
    made = sum(n * known[k].formation.value for k, n in species.components)
    return made + float(chosen.dh[chosen.species.index(key)])


def _formation(substance: Substance) -> float:
    if substance.formation is None:
        raise NotComputable(f"{substance.key}: no heat of formation in the bank")
    return substance.formation.value


def _heat_capacity(substance: Substance) -> float:
    return 0.0 if substance.heat_capacity is None else substance.heat_capacity.value


def _water_enthalpy(chosen: System, kelvin: float) -> float:
    return float(np.interp(kelvin, chosen.t_grid, chosen.water_h))


def _reaction(text: str, kelvin: float) -> float:
    """ln K of `a + b = c + d` at infinite dilution."""
    left, right = (side.split(" + ") for side in text.split("="))
    return sum(_ln_formation(s.strip(), kelvin) for s in right) - sum(
        _ln_formation(s.strip(), kelvin) for s in left
    )


def _ln_formation(key: str, kelvin: float) -> float:
    if key in bank().components:
        return 0.0
    species = bank().species.get(key)
    if species is None:
        raise NotComputable(f"{key}: not a species of the bank")
    chosen = system_of(frozenset(k for k, _ in species.components), False)
    n = chosen.species.index(key)
    return float(ln_k(chosen.k0[n], chosen.dh[n], chosen.dcp[n], kelvin))
