"""What stands in a vessel: amounts, a temperature, and the equilibrium they make of themselves.

`wet` counts components (solids and unreleased gas in touch with the liquor included), `dry`
counts substances that are no part of the liquor. Enthalpy is Σ n ΔfH° + heat content, in J, of
both, without the vessel's wall.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from firstcrop.forecast.chemistry import T0, Chemistry
from firstcrop.forecast.neat import is_neat
from firstcrop.forecast.solvents import settle, settle_heat
from firstcrop.liquor.state import State
from firstcrop.liquor.system import Floats

CAREFUL = 40  # steps of the fallback
FREE_WATER = 1e-6  # mol of H2O below which there is no liquor


@dataclass(frozen=True, slots=True, eq=False)
class Contents:
    """Matter at a temperature; `state` is the liquor's equilibrium, None without free water."""

    wet: Floats  # [C] mol
    dry: Floats  # [D] mol
    temperature: float  # K
    enthalpy: float  # J
    state: State | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Matter:
    """Matter on its way: amounts and the enthalpy they carry; `stock` names the material it is."""

    wet: Floats
    dry: Floats
    enthalpy: float
    stock: str = ""
    mass: float = 0.0  # kg of that material
    temperature: float = math.nan  # K; NaN: that of what it comes to

    def scaled(self, factor: float) -> Matter:
        """The same matter, `factor` times as much."""
        wet, dry = self.wet * factor, self.dry * factor
        heat, mass = self.enthalpy * factor, self.mass * factor
        return Matter(wet, dry, heat, self.stock, mass, self.temperature)


@dataclass(frozen=True, slots=True, eq=False)
class Wall:
    """The vessel around the contents: heat capacity in J/K, always at their temperature."""

    heat_capacity: float = 0.0


def empty(chem: Chemistry, temperature: float) -> Contents:
    """An empty vessel at a temperature."""
    return Contents(chem.nothing(), chem.nothing_dry(), temperature, 0.0)


def dry_enthalpy(chem: Chemistry, dry: Floats, temperature: float) -> float:
    """J of dry matter."""
    return float(dry @ (chem.dry_h + chem.dry_cp * (temperature - T0)))


def soaked(chem: Chemistry, wet: Floats, dry: Floats) -> tuple[Floats, Floats]:
    """Soluble dry matter becomes part of the liquor where there is free water enough."""
    if wet[0] <= FREE_WATER or not np.any(dry * chem.soluble):
        return wet, dry
    if is_neat(chem, wet, dry):
        return wet, dry
    moving = dry * chem.soluble
    return wet + moving @ chem.dry_components, dry - moving


def at_temperature(
    chem: Chemistry,
    wet: Floats,
    dry: Floats,
    temperature: float,
    pressure: float,
    guess: State | None = None,
) -> Contents:
    """The equilibrium at a temperature (K) and pressure (Pa)."""
    wet, dry = soaked(chem, wet, dry)
    heat = dry_enthalpy(chem, dry, temperature)
    if wet[0] <= FREE_WATER:
        return Contents(wet, dry, temperature, heat)
    state = settle(chem.system, chem.mix, wet, temperature, pressure, guess)
    if not state.ok:
        state = unsolved(state)
    return Contents(wet, dry, temperature, heat + state.enthalpy, state)


def unsolved(state: State) -> State:
    """A failed state that claims nothing: no crystals, no gas."""
    return replace(
        state,
        solids=np.zeros_like(state.solids),
        gas=np.zeros_like(state.gas),
        solid_volume=0.0,
        gas_enthalpy=0.0,
        ph=math.nan,
    )


def at_enthalpy(
    chem: Chemistry,
    wet: Floats,
    dry: Floats,
    enthalpy: float,
    wall: Wall,
    wall_temperature: float,
    pressure: float,
    guess: State | None = None,
) -> Contents:
    """The equilibrium that holds `enthalpy` (J) and shares it with the wall."""
    wet, dry = soaked(chem, wet, dry)
    total = enthalpy + wall.heat_capacity * (wall_temperature - T0)
    base = float(dry @ chem.dry_h)
    capacity = float(dry @ chem.dry_cp) + wall.heat_capacity
    if wet[0] <= FREE_WATER:
        temperature = T0 + (total - base) / capacity if capacity > 0.0 else wall_temperature
        return Contents(wet, dry, temperature, dry_enthalpy(chem, dry, temperature))
    state = settle_heat(chem.system, chem.mix, wet, total, (base, capacity), pressure, guess)
    if guess is not None and not state.ok:
        state = settle_heat(chem.system, chem.mix, wet, total, (base, capacity), pressure)
    if not state.ok:
        near = _by_steps(chem, wet, total, (base, capacity), wall_temperature, pressure)
        if near is None:
            held = unsolved(replace(state, temperature=wall_temperature))
            return Contents(wet, dry, wall_temperature, enthalpy, held)
        state = near
    kept = total - wall.heat_capacity * (state.temperature - T0)
    return Contents(wet, dry, state.temperature, kept, state)


def stirred_in(
    chem: Chemistry, c: Contents, matter: Matter, wall: Wall, pressure: float
) -> Contents:
    """The equilibrium of contents and matter put together without loss of heat."""
    return at_enthalpy(
        chem,
        c.wet + matter.wet,
        c.dry + matter.dry,
        c.enthalpy + matter.enthalpy,
        wall,
        c.temperature,
        pressure,
        c.state,
    )


def _by_steps(
    chem: Chemistry,
    wet: Floats,
    total: float,
    extra: tuple[float, float],
    start: float,
    pressure: float,
) -> State | None:
    """The temperature that holds `total` J by careful steps from `start` K, for what the solver
    does not find at once; None when that fails too."""
    temperature, guess = start, settle(chem.system, chem.mix, wet, start, pressure)
    for _ in range(CAREFUL):
        if not guess.ok:
            return None
        gap = guess.enthalpy + extra[0] + extra[1] * (temperature - T0) - total
        if abs(gap) < 1e-9 * abs(total):
            return guess
        step = max(-8.0, min(8.0, -gap / (guess.heat_capacity + extra[1])))
        new = settle(chem.system, chem.mix, wet, temperature + step, pressure, guess)
        while not new.ok and abs(step) > 0.01:
            step *= 0.5
            new = settle(chem.system, chem.mix, wet, temperature + step, pressure, guess)
        temperature, guess = temperature + step, new
    return None


def solids_enthalpy(chem: Chemistry, solids: Floats, temperature: float) -> float:
    """J of crystals [N]."""
    s = chem.system
    return float(solids @ (s.solid_h + s.solid_cp * (temperature - T0)))


def gas_enthalpy(chem: Chemistry, gas: Floats, temperature: float) -> float:
    """J of gas [G]."""
    s = chem.system
    return float(gas @ (s.gas_h + s.gas_cp * (temperature - T0)))


def solids_of(c: Contents, chem: Chemistry) -> Floats:
    """Crystals in touch with the liquor, mol [N]."""
    return c.state.solids if c.state is not None else np.zeros(len(chem.system.solids))


def gas_waiting(c: Contents, chem: Chemistry) -> Floats:
    """Gas that wants to leave, mol [G]."""
    return c.state.gas if c.state is not None else np.zeros(len(chem.system.gases))


def liquid_part(c: Contents, chem: Chemistry) -> Floats:
    """Components of the liquor alone, mol [C]: without crystals and gas."""
    if c.state is None:
        return c.wet
    s = chem.system
    return c.wet - c.state.solids @ s.solid_nu - c.state.gas @ s.gas_nu


def liquid_enthalpy(c: Contents, chem: Chemistry) -> float:
    """J of the liquor alone."""
    t = c.temperature
    return (
        c.enthalpy
        - dry_enthalpy(chem, c.dry, t)
        - solids_enthalpy(chem, solids_of(c, chem), t)
        - gas_enthalpy(chem, gas_waiting(c, chem), t)
    )


def mass_of(chem: Chemistry, wet: Floats, dry: Floats) -> float:
    """Kilograms."""
    return float(wet @ chem.system.component_mass + dry @ chem.dry_mass)


def volume(c: Contents, chem: Chemistry) -> float:
    """Cubic metres of liquor, crystals and dry matter, without gas held up."""
    dry = float(c.dry @ chem.dry_volume)
    return dry if c.state is None else dry + c.state.volume + c.state.solid_volume


def heat_capacity(c: Contents, chem: Chemistry) -> float:
    """J/K of the contents, frozen composition."""
    dry = float(c.dry @ chem.dry_cp)
    return dry if c.state is None else dry + c.state.heat_capacity


def without_gas(c: Contents, chem: Chemistry, gas: Floats) -> Contents:
    """After `gas` [G] mol has left: the liquor is as it was, its waiting gas is less.

    Enthalpy falls by what the gas carries; the temperature does not change.
    """
    if c.state is None:
        return c
    s = chem.system
    carried = gas_enthalpy(chem, gas, c.temperature)
    left = replace(c.state, gas=c.state.gas - gas, amounts=c.state.amounts - gas @ s.gas_nu)
    return Contents(c.wet - gas @ s.gas_nu, c.dry, c.temperature, c.enthalpy - carried, left)
