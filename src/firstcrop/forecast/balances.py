"""The books of a run: elements, charge, mass and energy in against what is accounted for."""

from __future__ import annotations

import math
from collections.abc import Iterable

from firstcrop.chem.formula import parse_formula
from firstcrop.forecast.chemistry import Chemistry
from firstcrop.forecast.context import Ground
from firstcrop.forecast.records import Balance
from firstcrop.forecast.world import World, wall_heat
from firstcrop.liquor.system import Floats
from firstcrop.problems import Problem


def balances(ground: Ground, world: World) -> tuple[Balance, ...]:
    """One Balance an element, and charge, mass, energy. Gaps are relative to the larger side of
    the gross flow, so that an element that is absent balances."""
    chem = ground.chem
    wet_in, dry_in = world.books.wet_in, world.books.dry_in
    wet, dry = _found(chem, world)
    found = [
        _matter(chem, name, rows, wet_in, dry_in, wet, dry) for name, rows in _elements(ground)
    ]
    charge_in = float(chem.system.component_charge @ wet_in)
    charge = float(chem.system.component_charge @ wet)
    all_in = abs(wet_in) + dry_in @ abs(chem.dry_components)
    scale = float(abs(chem.system.component_charge) @ all_in) or 1.0
    found.append(Balance("charge", charge_in, charge, (charge - charge_in) / scale))
    mass_in = float(wet_in @ chem.system.component_mass + dry_in @ chem.dry_mass)
    mass = float(wet @ chem.system.component_mass + dry @ chem.dry_mass)
    found.append(Balance("mass", mass_in, mass, _gap(mass_in, mass)))
    found.append(_energy(world))
    return tuple(found)


def _gap(put_in: float, found: float, scale: float = 0.0) -> float:
    size = max(abs(put_in), abs(found), scale)
    return (found - put_in) / size if size > 0.0 else 0.0


def _found(chem: Chemistry, world: World) -> tuple[Floats, Floats]:
    """Components and dry substances in vessels, cakes, gas and what was thrown out; what
    declared reactions turned over is left to the elements."""
    wet, dry = world.books.wet_out.copy(), world.books.dry_out.copy()
    wet += world.books.gas @ chem.system.gas_nu
    for pot in world.pots.values():
        wet += pot.contents.wet
        dry += pot.contents.dry
    for cake in world.cakes.values():
        wet += cake.solids @ chem.system.solid_nu + cake.liquor
        dry += cake.dry
    return wet, dry


def _matter(
    chem: Chemistry,
    name: str,
    rows: tuple[Floats, Floats],
    wet_in: Floats,
    dry_in: Floats,
    wet: Floats,
    dry: Floats,
) -> Balance:
    per_wet, per_dry = rows
    put_in = float(per_wet @ wet_in + per_dry @ dry_in)
    there = float(per_wet @ wet + per_dry @ dry)
    return Balance(name, put_in, there, _gap(put_in, there))


def _elements(ground: Ground) -> Iterable[tuple[str, tuple[Floats, Floats]]]:
    """Atoms a mole of each component [C] and dry substance [D], by element."""
    chem = ground.chem
    table: dict[str, tuple[Floats, Floats]] = {}
    formulas = [(0, i, c) for i, c in enumerate(chem.system.components)]
    formulas += [(1, i, s.formula) for i, s in enumerate(chem.dry)]
    for side, index, text in formulas:
        component = ground.bank.components.get(text) if side == 0 else None
        formula = parse_formula(component.formula if component is not None else text)
        if isinstance(formula, Problem) or not text:
            continue
        for symbol, count in formula.elements:
            rows = table.setdefault(symbol, (chem.nothing(), chem.nothing_dry()))
            rows[side][index] += float(count)
    return table.items()


def _energy(world: World) -> Balance:
    books = world.books
    put_in = books.heat_in + books.heat
    found = books.gas_heat + books.heat_out
    found += math.fsum(p.contents.enthalpy + wall_heat(p) for p in world.pots.values())
    found += math.fsum(c.enthalpy for c in world.cakes.values())
    return Balance("energy", put_in, found, _gap(put_in, found))
