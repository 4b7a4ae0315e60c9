"""Vessels as bodies: how much they hold, touch, weigh; and what surrounds them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from firstcrop.bank.practice import load_means, load_practice
from firstcrop.bank.vessels import find_vessel
from firstcrop.forecast.context import Context
from firstcrop.sheet.records import Means, Vessel

ROOMY = 2.0  # an undescribed vessel is taken this many times larger than what goes into it


@dataclass(frozen=True, slots=True)
class Hull:
    """A vessel's body. SI; `capacity` is to the brim, NaN when no vessel was described."""

    capacity: float  # m3
    diameter: float  # m
    heat_capacity: float  # J/K
    insulated: bool = False
    closed: bool = False
    described: bool = True
    size: float = 0.0  # m3, the one assumed when none is described

    def wetted(self, volume: float) -> float:
        """m2 of wall and bottom that a volume touches, with its free surface."""
        base = self.surface
        height = volume / base if base > 0.0 else 0.0
        return 2.0 * base + math.pi * self.diameter * height

    @property
    def surface(self) -> float:
        """m2 of free surface."""
        return math.pi * self.diameter**2 / 4.0


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What the vessel stands in: K, W/(m2 K), W put in, and its name for people."""

    temperature: float
    coefficient: float
    power: float = 0.0
    name: str = "room air"
    stated: bool = False  # the sheet gave the temperature


def hull_of(vessel: Vessel | None, volume: float) -> Hull:
    """The body of a described vessel; a beaker twice the size of its contents when none is."""
    described = vessel is not None and vessel.capacity is not None
    size = max(ROOMY * volume, 5e-5)
    text, closed = "low-form beaker", False
    if vessel is not None:
        text, closed = f"{vessel.form} {vessel.description}", vessel.closed
        if vessel.capacity is not None:
            size = vessel.capacity.value
    shape = find_vessel(text, size)
    assert shape is not None, "a vessel of no size is refused by the reader"
    return Hull(
        capacity=shape.brimful if described else math.nan,
        diameter=shape.diameter,
        heat_capacity=shape.heat_capacity.value,
        insulated="foam" in shape.material or "vacuum" in shape.material,
        closed=closed,
        described=described,
        size=size,
    )


def surroundings(ctx: Context, means: tuple[Means, ...]) -> Surroundings:
    """Where the vessel stands, from the written means; room air when none is written."""
    learned = ctx.condition("heat exchange")  # of the published coefficients
    factor = ctx.knobs.practice("exchange_factor") if learned is None else learned
    table = load_means()
    for written in means:
        row = table.get(written.kind)
        if row is None:
            continue
        temperature = ctx.room if row.temperature is None else row.temperature
        given = ctx.condition("water" if written.kind == "cold water" else written.kind)
        if written.temperature is not None:
            temperature = written.temperature.value
        elif given is not None:
            temperature = given
        power = 0.0
        if row.power:
            full = ctx.knobs.practice(row.power) if written.power is None else written.power.value
            power = full * ctx.knobs.practice("heating_efficiency")
        coefficient = load_practice()[row.coefficient].value
        stated = written.temperature is not None or given is not None
        return Surroundings(temperature, coefficient * factor, power, written.kind, stated)
    return Surroundings(ctx.room, load_practice()["air_coefficient"].value * factor)


def heating(ctx: Context, means: tuple[Means, ...]) -> Surroundings:
    """The same for a step that heats: a hotplate when nothing warm is written."""
    warm = [m for m in means if m.kind not in ("air", "room")]
    return surroundings(ctx, tuple(warm) or (Means("hotplate"),))
