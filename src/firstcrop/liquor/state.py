"""What the solver answers: a State, with an Outcome in words."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Any

from firstcrop.liquor.system import Floats


class Outcome(Enum):
    """How a solve ended; the value is a sentence for people, with advice."""

    SOLVED = "Equilibrium was found."
    NO_WATER = (
        "There is no water to dissolve anything, so this is not a liquor; keep it as dry matter."
    )
    DRIED_UP = (
        "No free water is left: what there is has gone into crystals or boiled away; "
        "add water, or take it as dry matter."
    )
    NEGATIVE = "A component has a negative amount, which no mixture can have; check what was taken."
    UNBALANCED = (
        "The charges of the amounts do not cancel, so no real mixture has this composition; "
        "check the formulas that were added."
    )
    OUT_OF_RANGE = (
        "The heat asked for would take the liquor below -30 °C or above 150 °C, where the data "
        "end; take a smaller step."
    )
    NOT_CONVERGED = (
        "No equilibrium was found within the permitted effort; the numbers shown are the last "
        "attempt. Try a smaller step, more water or a temperature nearer room temperature."
    )

    @property
    def ok(self) -> bool:
        """Whether the numbers of the State can be used."""
        return self is Outcome.SOLVED


@dataclass(frozen=True, eq=False)
class State:
    """An equilibrium. SI units; C components, S species, N solids, G gases of its System.

    Without slots: a frozen record with slots takes longer to fill than the equilibrium to solve.
    """

    temperature: float  # K
    pressure: float  # Pa
    amounts: Floats  # [C] mol, as asked
    water: float  # kg of free solvent water
    molalities: Floats  # [S] mol/kg
    ln_gamma: Floats  # [S] also of absent species: their value at trace
    ln_activity: Floats  # [C] of components; -inf when absent
    ln_a_water: float
    solids: Floats  # [N] mol
    saturation: Floats  # [N] ln(Q/K); -inf: a component is absent; NaN: no K at this temperature
    gas: Floats  # [G] mol that wants to leave at this pressure
    fugacity: Floats  # [G] bar
    ph: float  # on the Bates-Guggenheim convention (meant for I < 0.1; labelled beyond)
    ionic_strength: float  # mol/kg
    volume: float  # m3, liquid
    solid_volume: float  # m3
    mass: float  # kg, all phases
    enthalpy: float  # J, all phases, elements at 298.15 K as zero
    heat_capacity: float  # J/K, frozen composition
    gas_enthalpy: float  # J, the part of `enthalpy` that is in the gas
    outcome: Outcome
    frozen: bool  # beyond the range of the activity model: coefficients are those of its edge
    iterations: int
    residual: float  # worst relative gap of a mass balance
    numbers: Floats  # the kernel's row, to start the next solve from

    @property
    def ok(self) -> bool:
        """Whether equilibrium was found."""
        return self.outcome.ok


def quick_state(**fields: Any) -> State:
    """A State of all its fields by name, without the dataclass's field-by-field care."""
    state = object.__new__(State)
    state.__dict__.update(fields)
    return state
