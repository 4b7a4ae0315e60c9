"""A material as it leaves its bottle: moles and density per kilogram, heat at a temperature."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from firstcrop.forecast.chemistry import Chemistry
from firstcrop.forecast.contents import Contents, Matter, at_temperature, dry_enthalpy, mass_of
from firstcrop.forecast.knobs import Knobs
from firstcrop.forecast.resolve import ICES, INERT, SOLID_FROM, Resolved
from firstcrop.laws.ice_feistel_2006 import HEAT_CAPACITY, HEAT_OF_FUSION, MELTING
from firstcrop.liquor.system import Floats
from firstcrop.problems import Problem
from firstcrop.quantity.records import Basis

SHELF = 293.15  # K, at which strengths by volume are understood
STANDARD = 101325.0  # Pa
ICE_DENSITY = 916.7  # kg/m3 at 0 °C (Feistel, Wagner 2006)
DRY_FROM = 0.995  # kg/kg: any liquid this strong has too little water to be a solution in it
NEAT_FROM = 0.9  # kg/kg: an organic liquid this strong is that liquid with some water in it
NEAT_SPIRIT_FROM = 0.98  # the same of one that mixes with water


@dataclass(slots=True, eq=False)
class Stock:
    """One kilogram of a material. `strength` is kg of the principal substance in it."""

    name: str
    wet: Floats  # [C] mol/kg
    dry: Floats  # [D] mol/kg
    density: float  # kg/m3
    principal: int  # dry index of the principal substance
    principal_mol: float  # mol/kg
    strength: float
    liquid: bool
    ice: bool = False
    heats: dict[float, float] = field(default_factory=dict)

    def enthalpy(self, chem: Chemistry, temperature: float) -> float:
        """J/kg at a temperature, kept for the next time."""
        known = self.heats.get(temperature)
        if known is None:
            known = self.heats[temperature] = _enthalpy(chem, self, temperature)
        return known

    def matter(self, chem: Chemistry, mass: float, temperature: float) -> Matter:
        """`mass` kg of it at a temperature."""
        heat = self.enthalpy(chem, temperature) * mass
        return Matter(self.wet * mass, self.dry * mass, heat, self.name, mass, temperature)


def _enthalpy(chem: Chemistry, stock: Stock, temperature: float) -> float:
    heat = dry_enthalpy(chem, stock.dry, temperature)
    if np.any(stock.wet):
        at = max(temperature, MELTING) if stock.ice else temperature
        alone = at_temperature(chem, stock.wet, chem.nothing_dry(), at, STANDARD)
        heat += alone.enthalpy
    if stock.ice:
        heat -= stock.principal_mol * HEAT_OF_FUSION + HEAT_CAPACITY * (MELTING - temperature)
    return heat


def make_stock(
    chem: Chemistry,
    material: Resolved,
    knobs: Knobs,
    hydrates: Mapping[str, tuple[tuple[int, float], ...]],
) -> Stock | Problem:
    """The material at the strength its knob says."""
    principal = chem.dry_index[material.substance.key]
    strength = material.strength
    if strength is None:
        return _pure(chem, material, principal)
    value = knobs.band(
        f"strength:{material.name.lower()}",
        f"strength of {material.name}",
        strength.value,
        strength.band,
        strength.basis.value,
    )
    fraction = mass_fraction(chem, material, strength.basis, value)
    if isinstance(fraction, Problem):
        return fraction
    if not 0.0 < fraction <= 1.0 + 1e-9:
        return Problem(
            "impossible strength",
            f"{material.name}: {strength.text or strength.basis.value} comes to "
            f"{fraction * 100:.4g} % by mass",
            (material.place,),
        )
    return _mixture(chem, material, principal, min(fraction, 1.0), hydrates)


def _pure(chem: Chemistry, material: Resolved, principal: int) -> Stock:
    amount = 1.0 / chem.dry_mass[principal]
    if material.substance.key == "water":
        wet = chem.nothing()
        wet[0] = amount
        if material.name.lower() in ICES:
            return _ice(chem, material, principal, wet)
        density = _density(chem, wet)
        return Stock(material.name, wet, chem.nothing_dry(), density, principal, amount, 1.0, True)
    dry = chem.nothing_dry()
    dry[principal] = amount
    density = chem.dry_mass[principal] / chem.dry_volume[principal]
    liquid = material.substance.phase == "liquid"
    return Stock(material.name, chem.nothing(), dry, density, principal, amount, 1.0, liquid)


def _ice(chem: Chemistry, material: Resolved, principal: int, wet: Floats) -> Stock:
    """Ice at no more than its melting point, weighed or by the volume of its pieces."""
    amount = float(wet[0])
    none = chem.nothing_dry()
    return Stock(material.name, wet, none, ICE_DENSITY, principal, amount, 1.0, False, ice=True)


def _mixture(
    chem: Chemistry,
    material: Resolved,
    principal: int,
    fraction: float,
    hydrates: Mapping[str, tuple[tuple[int, float], ...]],
) -> Stock:
    amount = fraction / chem.dry_mass[principal]
    rest = chem.dry_index[INERT if material.rest is None else material.rest.key]
    filler = (1.0 - fraction) / chem.dry_mass[rest]
    damp = material.substance.phase == "solid" and fraction >= SOLID_FROM
    neat = fraction >= (NEAT_FROM if chem.organic[principal] else NEAT_SPIRIT_FROM)
    neat = neat and bool(chem.organic[principal] or chem.spirit[principal])
    damp = damp or (material.substance.phase == "liquid" and fraction >= DRY_FROM)
    if material.rest is not None and material.rest.key == "water" and not (damp or neat):
        return _solution(chem, material, principal, amount, filler, fraction)
    dry = chem.nothing_dry()
    if neat:
        dry[principal] += amount
        dry[rest] += filler
    elif material.rest is not None and material.rest.key == "water":
        _damp(chem, dry, principal, amount, filler, hydrates.get(material.substance.key, ()))
    else:
        dry[principal] += amount
        dry[rest] += filler
    density = 1.0 / float(dry @ chem.dry_volume)
    liquid = material.substance.phase == "liquid"
    return Stock(material.name, chem.nothing(), dry, density, principal, amount, fraction, liquid)


def _solution(
    chem: Chemistry,
    material: Resolved,
    principal: int,
    amount: float,
    water: float,
    fraction: float,
) -> Stock:
    wet, dry = chem.nothing(), chem.nothing_dry()
    wet[0] += water
    if chem.soluble[principal]:
        wet += amount * chem.dry_components[principal]
    else:
        dry[principal] = amount
    density = 1.0 / (
        1.0 / _density(chem, wet) * mass_of(chem, wet, chem.nothing_dry())
        + float(dry @ chem.dry_volume)
    )
    return Stock(material.name, wet, dry, density, principal, amount, fraction, True)


def _damp(
    chem: Chemistry,
    dry: Floats,
    principal: int,
    amount: float,
    water: float,
    hydrates: tuple[tuple[int, float], ...],
) -> None:
    """Water in a solid stands as its lowest hydrate where the bank knows one, else as water."""
    for index, extra in hydrates[:1]:
        bound = min(amount, water / extra)
        dry[index] += bound
        amount -= bound
        water -= bound * extra
    dry[principal] += amount
    dry[chem.dry_index["water"]] += max(water, 0.0)


def _density(chem: Chemistry, wet: Floats) -> float:
    c = at_temperature(chem, wet, chem.nothing_dry(), SHELF, STANDARD)
    assert c.state is not None
    return c.state.mass / (c.state.volume + c.state.solid_volume)


def _made(chem: Chemistry, material: Resolved, fraction: float) -> Contents:
    """A kilogram of solution of this mass fraction at shelf temperature."""
    principal = chem.dry_index[material.substance.key]
    wet = fraction / chem.dry_mass[principal] * chem.dry_components[principal]
    wet[0] += (1.0 - fraction) / chem.system.component_mass[0]
    return at_temperature(chem, wet, chem.nothing_dry(), SHELF, STANDARD)


def solution_density(chem: Chemistry, material: Resolved, fraction: float) -> float:
    """kg/m3 of the material at a mass fraction, at shelf temperature."""
    c = _made(chem, material, fraction)
    assert c.state is not None
    return c.state.mass / (c.state.volume + c.state.solid_volume)


def mass_fraction(
    chem: Chemistry, material: Resolved, basis: Basis, value: float
) -> float | Problem:
    """kg of principal substance in a kg of material, from a strength on any basis (SI)."""
    substance = material.substance
    if basis is Basis.WW:
        return value
    if basis is Basis.MOLALITY:
        held = value * substance.molar_mass
        return held / (1.0 + held)
    if not substance.components:
        return Problem(
            "strength basis",
            f"{material.name}: {substance.key} does not dissolve, so a strength by volume "
            "says nothing",
            (material.place,),
            "give it in % w/w",
        )
    return _by_solving(chem, material, basis, value)


def _by_solving(chem: Chemistry, material: Resolved, basis: Basis, value: float) -> float | Problem:
    if basis is Basis.DENSITY:
        return _from_density(chem, material, value)
    if basis is Basis.SATURATED:
        return _saturated(chem, material, value)
    per_volume = _mass_per_volume(material, basis, value)
    if isinstance(per_volume, Problem):
        return per_volume
    return _by_volume(chem, material, per_volume)


def _mass_per_volume(material: Resolved, basis: Basis, value: float) -> float | Problem:
    """kg of principal substance in a m3 of material."""
    substance = material.substance
    if basis is Basis.MOLARITY:
        return value * substance.molar_mass
    if basis is Basis.NORMALITY:
        return value * substance.molar_mass / valence(material)
    if basis is Basis.VV:
        if substance.density is None:
            return Problem(
                "missing density",
                f"the density of {substance.key} is not in the bank",
                (material.place,),
                "give the strength in % w/w",
            )
        return value * substance.density.value
    return value


def valence(material: Resolved) -> float:
    """Equivalents a mole: protons given or taken, else the charge of its cations."""
    protons = abs(dict(material.substance.components).get("H+", 0.0))
    return protons or 1.0


def _by_volume(chem: Chemistry, material: Resolved, held: float) -> float | Problem:
    fraction = held / 1000.0
    for _ in range(40):
        if not 0.0 <= fraction <= 1.0:
            break
        better = held / solution_density(chem, material, fraction)
        if abs(better - fraction) < 1e-12:
            return better
        fraction = better
    if fraction > 1.0:
        return Problem(
            "impossible strength",
            f"{material.name} would have to hold {held:.4g} g/L, more than it weighs",
            (material.place,),
        )
    return fraction


def _from_density(chem: Chemistry, material: Resolved, density: float) -> float | Problem:
    low, high = 0.0, 0.95
    at_low = solution_density(chem, material, low) - density
    at_high = solution_density(chem, material, high) - density
    if at_low * at_high > 0.0:
        return Problem(
            "impossible strength",
            f"no strength of {material.substance.key} has a density of {density:.5g} kg/m3 "
            "at 20 °C",
            (material.place,),
        )
    for _ in range(60):
        middle = 0.5 * (low + high)
        gap = solution_density(chem, material, middle) - density
        if (gap > 0.0) == (at_low > 0.0):
            low = middle
        else:
            high = middle
        if high - low < 1e-10:
            break
    return 0.5 * (low + high)


def _saturated(chem: Chemistry, material: Resolved, temperature: float) -> float | Problem:
    """Shake a large excess with water at the temperature; what dissolves is the strength."""
    principal = chem.dry_index[material.substance.key]
    row = chem.dry_components[principal]
    wet = chem.nothing()
    wet[0] = 1.0 / chem.system.component_mass[0]
    for amount in (1.0, 5.0, 20.0, 60.0):
        trial = wet + amount * row
        c = at_temperature(chem, trial, chem.nothing_dry(), temperature, STANDARD)
        if c.state is None or not np.any(c.state.solids > 1e-9):
            continue
        liquid = trial - c.state.solids @ chem.system.solid_nu - c.state.gas @ chem.system.gas_nu
        counted = int(np.argmax(np.where(np.arange(len(row)) > 1, row, 0.0)))
        dissolved = liquid[counted] / row[counted] * chem.dry_mass[principal]
        return float(dissolved / mass_of(chem, liquid, chem.nothing_dry()))
    return Problem(
        "not saturated",
        f"the bank knows no solubility limit of {material.substance.key}",
        (material.place,),
        "give the strength in % w/w",
    )
