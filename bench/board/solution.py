"""pH, activity, solubility and gas solubility as the board asks for them."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from firstcrop.liquor.state import State
from firstcrop.liquor.system import Floats, System

from .mixture import (
    Answer,
    Item,
    NotComputable,
    amounts,
    bank,
    liquor,
    parts,
    read,
    solve,
    system,
    unit_amounts,
)
from .tables import Row

_R = 8.31446261815324
_ATM = 1.01325  # bar
_CO2_LITRES = 22.263  # L/mol at 0 °C and 1 atm, as the Solubility Data Series takes it
_CO2_FUGACITY = 0.995  # fugacity coefficient and compressibility near 1 atm and 25 °C
_TRACE = 1e-3  # mol/kg of gas in the solution
_EXCESS = (0.25, 1.0, 4.0)  # of what is printed, until some is left over
_POINT = 1e-9


def ph(row: Row) -> Answer:
    """pH on the convention of the pH standards."""
    _, _, state = liquor(row.composition, row.temperature)
    return Answer(state.ph, state.frozen)


def ph_saturated(row: Row) -> Answer:
    """pH of a solution saturated at 25 °C with `what`, then brought to the row's temperature."""
    solid = row.what
    chosen = system([solid], solids=True)
    asked = amounts(chosen, read(f"{solid} 1 m"), 298.15)
    state = solve(chosen, asked, 298.15)
    left = asked - state.solids @ chosen.solid_nu
    bare = system([solid])
    state = solve(bare, left, row.temperature + 273.15)
    return Answer(state.ph, state.frozen)


def mean_activity(row: Row) -> Answer:
    """Stoichiometric mean activity coefficient of the salt `what`, the first item."""
    chosen, _, state = liquor(row.composition, row.temperature)
    charged = ions(row.what)
    molality = read(row.composition)[0].value
    total = sum(n for _, n in charged)
    logs = sum(
        n * (_ln_activity(chosen, state, key) - math.log(n * molality)) for key, n in charged
    )
    return Answer(math.exp(logs / total), state.frozen)


def osmotic(row: Row) -> Answer:
    """Osmotic coefficient; the solute counted as fully dissociated."""
    chosen, _, state = liquor(row.composition, row.temperature)
    particles = sum(i.value * sum(n for _, n in ions(i.formula)) for i in read(row.composition))
    value = -state.ln_a_water / (float(chosen.component_mass[0]) * particles)
    return Answer(value, state.frozen)


def water_activity_saturated(row: Row) -> Answer:
    """Activity of water over the solution saturated with `what`."""
    chosen = system([row.what], solids=True)
    for molality in (8.0, 16.0, 30.0, 50.0):
        asked = amounts(chosen, read(f"{row.what} {molality:g} m"), row.temperature + 273.15)
        state = solve(chosen, asked, row.temperature + 273.15)
        if state.solids.sum() > _POINT:
            return Answer(math.exp(state.ln_a_water), state.frozen)
    raise NotComputable(f"{row.what}: no solid forms up to 50 mol/kg")


def water_vapour(row: Row) -> Answer:
    """kPa of water over the solution."""
    chosen, _, state = liquor(row.composition or "NaCl 1e-9 m", row.temperature)
    fugacity = float(state.fugacity[chosen.gases.index("H2O(g)")])
    return Answer(fugacity * 100.0, state.frozen)


def solubility(row: Row) -> Answer:
    """g of the anhydrous salt in 100 g of water (all of it) saturated with it."""
    grams, state = _dissolved(row)
    return Answer(grams, state.frozen)


def mass_percent(row: Row) -> Answer:
    """The same as mass % of the saturated solution."""
    grams, state = _dissolved(row)
    return Answer(100.0 * grams / (100.0 + grams), state.frozen)


def mixed(row: Row) -> Answer:
    """mol of the first item per kg water, in the solution printed, saturated with the solids that
    `what` names (a hydrate of them will do)."""
    items = read(row.composition)
    solids = [s.strip() for s in row.what.split("+")]
    kelvin = row.temperature + 273.15
    chosen = system((i.formula for i in items), solids=True)
    _has_solids(chosen, solids)
    printed = amounts(chosen, items, kelvin)
    water = printed[0] * chosen.component_mass[0]
    moles = _moles(chosen, items)
    asked, added = printed, dict.fromkeys(solids, 0.0)
    for excess in _EXCESS:
        for salt in solids:
            more = max(excess * moles.get(salt, 0.0), 0.05 * water)
            asked = asked + more * unit_amounts(chosen, salt)
            added[salt] += more
        state = solve(chosen, asked, kelvin)
        if all(_solid_moles(chosen, state, salt) > _POINT for salt in solids):
            break
    kilograms = _free_water(chosen, state, asked, items)
    target = items[0].formula
    left = moles[target] + added.get(target, 0.0) - _solid_moles(chosen, state, target)
    return Answer(left / kilograms, state.frozen)


def mixed_nearest(row: Row) -> Answer:
    """As `mixed`, the solid not named: that of the alternatives `A | B` which comes nearer."""
    printed = {i.formula: i for i in read(row.composition)}
    salts = [s.strip() for s in row.what.split("|")]
    chosen = system(printed)
    moles = _moles(chosen, tuple(printed.values()))
    answers = []
    for salt in salts:
        order = [printed[salt], *(i for i in printed.values() if i.formula != salt)]
        text = "; ".join(f"{i.formula} {i.value!r} {i.unit}" for i in order)
        found = mixed(replace(row, what=salt, composition=text))
        answers.append(Answer(found.value / moles[salt] * row.value, found.beyond))
    return min(answers, key=lambda a: abs(a.value - row.value))


def gas_molality(row: Row) -> Answer:
    """mol/(kg bar) of the gas `what` dissolved in the solution at low pressure."""
    molality, _, beyond = _gas(row)
    return Answer(molality, beyond)


def bunsen(row: Row) -> Answer:
    """cm3 of gas (0 °C, 1 atm) in 1 cm3 of the solution under 1 atm of CO2."""
    _, molarity, beyond = _gas(row)
    return Answer(molarity * _ATM * _CO2_FUGACITY * _CO2_LITRES, beyond)


def ostwald(row: Row) -> Answer:
    """cm3 of gas, as measured at the temperature, in 1 cm3 of the solution."""
    _, molarity, beyond = _gas(row)
    litres = 1e3 * _R * (row.temperature + 273.15) / 1e5 * _CO2_FUGACITY  # of gas per mol at 1 bar
    return Answer(molarity * _CO2_FUGACITY * litres, beyond)


def kuenen(row: Row) -> Answer:
    """cm3 of gas (0 °C, 1 atm) in 1 g of water under 1 atm of CO2."""
    molality, _, beyond = _gas(row)
    return Answer(molality * _ATM * _CO2_FUGACITY * _CO2_LITRES, beyond)


def _gas(row: Row) -> tuple[float, float, bool]:
    """mol/kg water and mol/L solution of the gas, both per bar of fugacity."""
    text = "; ".join(t for t in (row.composition, f"{row.what} {_TRACE} m") if t)
    items = read(text)
    kelvin = row.temperature + 273.15
    chosen = system(i.formula for i in items)
    rest = [i for i in items if i.formula != row.what]
    plain = amounts(chosen, rest, kelvin) if rest else unit_amounts(chosen, "H2O") * 55.508
    water = plain[0] * float(chosen.component_mass[0])
    asked = plain + _TRACE * water * unit_amounts(chosen, row.what)
    state = solve(chosen, asked, kelvin)
    key = f"{row.what}(g)"
    if key not in chosen.gases:
        raise NotComputable(f"{key}: not a gas of the bank")
    # what is dissolved as the gas itself: the rest has ionised, as it would not under 1 atm
    amount = float(state.molalities[chosen.species.index(row.what)]) * state.water
    fugacity = float(state.fugacity[chosen.gases.index(key)])
    litres = state.volume * 1e3
    return amount / water / fugacity, amount / litres / fugacity, state.frozen


def ions(formula: str) -> list[tuple[str, float]]:
    """The ions a strong electrolyte is counted as: metal cations, and the anion of the rest."""
    known = bank().components
    found = [(k, n) for k, n in parts(formula) if k not in ("H2O", "H+")]
    if all(not known[k].charge for k, _ in found):
        return found  # not an electrolyte
    protons = dict(parts(formula)).get("H+", 0.0)
    cations = [(k, n) for k, n in found if known[k].charge > 0]
    anions = [(k, n) for k, n in found if known[k].charge < 0]
    if not protons:
        return found
    if protons < 0:
        return [*cations, *anions, ("OH-", -protons)]
    if not cations:
        return [("H+", protons), *anions]
    (key, count), each = anions[0], protons / anions[0][1]
    for species in bank().species.values():
        made = {k: n for k, n in species.components if k != "H2O"}
        if made == {key: count, "H+": protons}:
            return [*cations, (species.key, 1.0)]
    for species in bank().species.values():
        if dict(species.components) == {key: 1.0, "H+": each}:
            return [*cations, (species.key, count)]
    raise NotComputable(f"{formula}: no single anion for it")


def _ln_activity(chosen: System, state: State, key: str) -> float:
    n = chosen.species.index(key)
    if state.molalities[n] <= 0.0:
        raise NotComputable(f"{key}: none left in solution")
    return math.log(state.molalities[n]) + float(state.ln_gamma[n])


def _has_solids(chosen: System, salts: list[str]) -> None:
    for salt in salts:
        if not any(_same_salt(s, salt) for s in chosen.solids):
            raise NotComputable(f"{salt}: no solubility curve in the bank")


def _same_salt(solid: str, salt: str) -> bool:
    known = bank().solids[solid]
    return salt in (solid, known.anhydrous) or dict(_bare(salt)) == dict(_bare(known.anhydrous))


def _bare(formula: str) -> tuple[tuple[str, float], ...]:
    return tuple((k, n) for k, n in parts(formula) if k != "H2O")


def _moles(chosen: System, items: tuple[Item, ...]) -> dict[str, float]:
    """mol of each item where the solution has 1 kg of water."""
    water = 100.0 - sum(i.value for i in items if i.unit == "%")
    moles = {}
    for i in items:
        mass = float(unit_amounts(chosen, i.formula) @ chosen.component_mass)
        moles[i.formula] = i.value / water / mass if i.unit == "%" else i.value
    return moles


def _solid_moles(chosen: System, state: State, salt: str) -> float:
    return float(sum(state.solids[n] for n, s in enumerate(chosen.solids) if _same_salt(s, salt)))


def _free_water(chosen: System, state: State, asked: Floats, items: tuple[Item, ...]) -> float:
    """kg of water of the solution beside the items' own."""
    left = asked - state.solids @ chosen.solid_nu
    own = np.zeros_like(left)
    position = {i.formula: unit_amounts(chosen, i.formula) for i in items}
    for unit in position.values():
        lead = int(np.argmax(np.abs(unit[2:]))) + 2
        own += unit * (left[lead] / unit[lead]) if unit[0] else 0.0
    return float((left[0] - own[0]) * chosen.component_mass[0])


def _dissolved(row: Row) -> tuple[float, State]:
    """g anhydrous per 100 g water, with the salt `what` in excess."""
    kelvin = row.temperature + 273.15
    chosen = system([row.what], solids=True)
    _has_solids(chosen, [row.what])
    unit = unit_amounts(chosen, row.what)
    unit[0] -= _crystal_water(row.what)
    mass = float(unit @ chosen.component_mass)
    printed = row.value if row.unit != "mass %" else 100.0 * row.value / (100.0 - row.value)
    base = unit_amounts(chosen, "H2O") / chosen.component_mass[0]
    for excess in _EXCESS:
        asked = base + unit * (printed * 0.01 * (1.0 + excess) + 0.01) / mass
        state = solve(chosen, asked, kelvin)
        if state.solids.sum() > _POINT:
            break
    left = asked - state.solids @ chosen.solid_nu
    lead = int(np.argmax(np.abs(unit[2:]))) + 2
    moles = left[lead] / unit[lead]
    water = (left[0] - moles * unit[0]) * chosen.component_mass[0]
    return float(100.0 * moles * mass / water), state


def _crystal_water(formula: str) -> float:
    head, dot, tail = formula.partition("·")
    if not dot:
        return 0.0
    del head
    return float(tail.removesuffix("H2O") or 1.0)
