"""What can be asked for, and in which terms the difference is counted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from types import MappingProxyType

from . import bulk, solution
from .mixture import Answer
from .tables import Row


@dataclass(frozen=True, slots=True)
class Property:
    """`ask` gives the engine's value in the table's unit. `relative`: the difference is counted
    in % of the published value, or of `floor` where that is larger; else in `unit`."""

    ask: Callable[[Row], float | Answer]
    unit: str
    relative: bool
    floor: float = 0.0

    def error(self, computed: float, published: float) -> float:
        """Signed difference, in % or in the unit."""
        gap = computed - published
        return 100.0 * gap / max(abs(published), self.floor) if self.relative else gap


PROPERTIES = MappingProxyType(
    {
        "density": Property(bulk.density, "g/cm3", True),
        "heat capacity": Property(bulk.heat_capacity, "J/(g K)", True),
        "heat of solution": Property(bulk.heat_of_solution, "kJ/mol", True, 5.0),
        "pH": Property(solution.ph, "1", False),
        "pH, saturated at 25 °C": Property(solution.ph_saturated, "1", False),
        "pK": Property(bulk.acid_constant, "1", False),
        "mean activity coefficient": Property(solution.mean_activity, "1", True),
        "osmotic coefficient": Property(solution.osmotic, "1", True),
        "solubility": Property(solution.solubility, "g/100 g water", True),
        "solubility, mass %": Property(solution.mass_percent, "mass %", True),
        "solubility in the mixture": Property(solution.mixed, "mol/kg", True),
        "solubility in the mixture, solid not named": Property(
            solution.mixed_nearest, "mol/kg", True
        ),
        "gas solubility": Property(solution.gas_molality, "mol/(kg bar)", True),
        "Bunsen coefficient": Property(solution.bunsen, "cm3/cm3", True),
        "Ostwald coefficient": Property(solution.ostwald, "cm3/cm3", True),
        "Kuenen coefficient": Property(solution.kuenen, "cm3/g", True),
        "vapour pressure": Property(solution.water_vapour, "kPa", True),
        "water activity, saturated": Property(solution.water_activity_saturated, "1", True),
        "heat of mixing": Property(bulk.heat_of_mixing, "kJ/mol", True, 5.0),
        "heat of ionisation": Property(bulk.heat_of_ionisation, "kJ/mol", True, 20.0),
        "temperature rise": Property(bulk.temperature_rise, "K", True, 10.0),
    }
)
