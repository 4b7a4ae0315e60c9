"""What a sheet wants of the shelf: strengths for its forecast, and amounts when it is run."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from firstcrop.bank.bank import Bank
from firstcrop.forecast.records import Bottle as Offered
from firstcrop.forecast.records import Forecast
from firstcrop.problems import Problem
from firstcrop.shelf.bottles import draw_all, find_level, fold, levels
from firstcrop.shelf.records import MASS, Draw, Level, Today
from firstcrop.shelf.today import offered, strength_today
from firstcrop.store.engine import Store


def offers(store: Store, bank: Bank, day: date, named: Iterable[str]) -> tuple[Offered, ...]:
    """Every bottle as a forecast takes it; the strength of those not named is left out."""
    wanted = {fold(name) for name in named}
    return tuple(
        offered(strength_today(level, bank, day))
        if level.bottle.name in wanted
        else Offered(level.bottle.name, level.bottle.substance, None)
        for level in levels(store)
    )


def everything(store: Store, bank: Bank, day: date) -> tuple[Today, ...]:
    """Every bottle and its strength today."""
    return tuple(strength_today(level, bank, day) for level in levels(store))


def told(store: Store, name: str, bank: Bank) -> Today | Problem:
    """One bottle and its strength today."""
    level = find_level(store, name)
    return level if isinstance(level, Problem) else strength_today(level, bank, date.today())


@dataclass(frozen=True, slots=True)
class Want:
    """What a run takes from a bottle: in the bottle's unit."""

    bottle: str
    material: str
    amount: float
    unit: str


def wants(forecast: Forecast, there: Iterable[Level]) -> tuple[Want, ...]:
    """What the run of a sheet takes from the bottles it names, one row a material; a bottle that
    is not there is left out (the forecast has told)."""
    known = {level.bottle.name: level.bottle for level in there}
    taken = {t.material: t for t in forecast.taken}
    found = []
    for material in forecast.preparation.materials:
        bottle, took = known.get(fold(material.bottle)), taken.get(material.name.lower())
        if material.bottle and bottle is not None and took is not None:
            amount = took.mass if bottle.unit == MASS else took.volume
            found.append(Want(bottle.name, material.name, amount, bottle.unit))
    return tuple(found)


def draw_for(
    store: Store, forecast: Forecast, who: str, sheet: str, key: str
) -> tuple[Level, ...] | Problem:
    """Draw what the run takes from every bottle it names, from all or from none. `key` is that of
    the run: the same run draws once."""
    wanted = wants(forecast, levels(store))
    if not wanted:
        hint = "name one in the column bottle of its Materials table"
        return Problem("shelf.nothing", f"{sheet} takes nothing from a bottle", hint=hint)
    draws = (
        (w.bottle, Draw(f"{key}.{n}", "", who, w.amount, sheet, w.material))
        for n, w in enumerate(wanted)
    )
    return draw_all(store, draws)
