"""What a written quantity means: an SI value, a 90 % band, and how it was written."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum


class Kind(StrEnum):
    """The dimension of a quantity; each has one SI unit, named in the comment."""

    MASS = "mass"  # kg
    VOLUME = "volume"  # m3
    AMOUNT = "amount"  # mol
    TEMPERATURE = "temperature"  # K (absolute)
    INTERVAL = "temperature step"  # K
    TIME = "time"  # s
    POWER = "power"  # W
    PRESSURE = "pressure"  # Pa
    LENGTH = "length"  # m
    ENERGY = "energy"  # J
    DENSITY = "density"  # kg/m3
    MASS_FLOW = "mass rate"  # kg/s
    VOLUME_FLOW = "volume rate"  # m3/s
    HEATING_RATE = "heating rate"  # K/s
    EQUIVALENTS = "equivalents"  # 1
    DROPS = "drops"  # m3, 0.05 mL a drop: common practice, no source
    PH = "pH"  # 1
    NUMBER = "number"  # 1
    FRACTION = "fraction"  # 1 (a bare % without a basis)


class Basis(StrEnum):
    """What a strength counts per what; SI unit of the value in the comment."""

    WW = "% w/w"  # kg/kg
    WV = "% w/v"  # kg/m3
    VV = "% v/v"  # m3/m3
    MOLARITY = "mol/L"  # mol/m3
    MOLALITY = "mol/kg"  # mol/kg solvent
    MASS_CONCENTRATION = "g/L"  # kg/m3
    DENSITY = "density"  # kg/m3
    SATURATED = "saturated at"  # K, the temperature of saturation
    NORMALITY = "N"  # equivalents per m3


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value in SI with the half-width of its 90 % interval (0: none was written)."""

    value: float
    kind: Kind
    band: float = 0.0
    unit: str = ""
    text: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Strength:
    """How much substance a material holds; `rest` names what the remainder is."""

    value: float
    basis: Basis
    band: float = 0.0
    rest: str = "water"
    unit: str = ""
    text: str = field(default="", compare=False)
