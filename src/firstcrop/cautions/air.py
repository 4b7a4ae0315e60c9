"""The air of the room: what the gas of every step makes of it (one well-mixed, aired room)."""

from __future__ import annotations

import math
from collections.abc import Iterator

from firstcrop.bank.air import Room, danger_limit, short_limit, usual_room
from firstcrop.bank.mixing import load_gas_hazards
from firstcrop.cautions.records import AirCase
from firstcrop.forecast.records import Forecast, StepForecast
from firstcrop.laws.room_one_box_1987 import room_amount
from firstcrop.quantity.records import Kind
from firstcrop.sheet.records import Preparation

MOLAR_VOLUME = 0.0241  # m3/mol at 20 °C and 1 atm
MILLION = 1e6
PUFF = 60.0  # s; whatever is given off comes in no less
SMALL_GAS = 1e-5  # mol; less leaves no trace in a room


def room_of(prep: Preparation) -> Room:
    """The room the sheet's Conditions tell of, else the usual one."""
    room = usual_room()
    size, changes = room.volume, room.air_changes
    for setting in prep.conditions:
        name, quantity = setting.name.strip().lower(), setting.quantity
        if name == "room volume" and quantity is not None and quantity.kind is Kind.VOLUME:
            size = quantity.value or size
        if name == "air changes":
            changes = _number(setting.text, changes * 3600.0) / 3600.0
    assumed = (size, changes) == (room.volume, room.air_changes)
    return Room(size, changes, room.mixing, room.head, assumed)


def _number(text: str, usual: float) -> float:
    """The first number in a text, or what is usual."""
    for word in text.replace(",", ".").split():
        try:
            value = float(word)
        except ValueError:
            continue
        return value if math.isfinite(value) and value >= 0.0 else usual
    return usual


def gases(forecast: Forecast) -> Iterator[tuple[StepForecast, str, float]]:
    """(step, formula of the gas, mol) of all gas the forecast sees given off."""
    for step in forecast.steps:
        for key, amount in step.gas.items:
            if amount > SMALL_GAS:
                yield step, key.removesuffix("(g)"), amount


def air_cases(forecast: Forecast) -> tuple[AirCase, ...]:
    """What each step's gas makes of the room, in step order; harmless gases are left out."""
    room = room_of(forecast.preparation)
    table = load_gas_hazards()
    held: dict[str, tuple[float, float]] = {}  # gas -> (time, mol in the room then)
    found = []
    for step, gas, amount in gases(forecast):
        if gas in table and table[gas].kind == "harmless":
            continue
        duration = max(step.duration, PUFF)
        then, before = held.get(gas, (step.start.time, 0.0))
        gap = max(step.start.time - then, 0.0)
        before = room_amount(0.0, gap, room.air_changes, before)
        peak = room_amount(amount / duration, duration, room.air_changes, before)
        held[gas] = (step.start.time + duration, peak)
        found.append(case(step.number, gas, amount, peak, room))
    return tuple(found)


def case(step: int, gas: str, amount: float, peak: float, room: Room) -> AirCase:
    """One gas in a room that holds `peak` mol of it; `amount` mol were given off."""
    hazard = load_gas_hazards().get(gas)
    share = peak * MOLAR_VOLUME / room.volume
    short, danger = short_limit(gas), danger_limit(gas)
    return AirCase(
        step=step,
        gas=gas,
        name=hazard.name if hazard else gas,
        amount=amount,
        room_ppm=share * MILLION,
        near_ppm=share * MILLION / room.mixing,
        short=short.ppm if short else math.nan,
        danger=danger.ppm if danger else math.nan,
        limits="; ".join(limit.words for limit in (short, danger) if limit is not None),
        part_of_lfl=share / room.mixing / hazard.lfl if hazard and hazard.lfl else math.nan,
    )


def room_words(room: Room) -> str:
    """The room in words."""
    told = (
        f"a room of {room.volume:.3g} m³ with {room.air_changes * 3600.0:.2g} air changes an hour"
    )
    return f"{told} (assumed)" if room.assumed else told
