"""The one public call of the package: refuse, forecast, caution."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from firstcrop.bank.bank import Bank
from firstcrop.cautions.all import assess
from firstcrop.cautions.ghs.sheet import shelf_label
from firstcrop.cautions.neighbours import neighbours
from firstcrop.cautions.records import Label, Review
from firstcrop.cautions.refuse import REFUSAL, refuse
from firstcrop.cautions.review import review
from firstcrop.forecast.bottles import from_bottles, resting_on_bottles
from firstcrop.forecast.memory import Memory
from firstcrop.forecast.overlay import overlaid
from firstcrop.forecast.pipeline import forecast_preparation
from firstcrop.forecast.records import Bottle, Caution, Forecast
from firstcrop.forecast.resolve import resolve_names
from firstcrop.problems import Problem
from firstcrop.sheet.read import read_sheet


def forecast_sheet(
    text: str,
    bank: Bank,
    with_bands: bool = True,
    memory: Memory | None = None,
    bottles: Iterable[Bottle] = (),
    draws: int = 0,
) -> Forecast:
    """The forecast of a sheet with its cautions; nothing is computed for a refused one. With a
    `memory` kept between calls, an edit recomputes only from the first step it changed. `bottles`
    are those on the shelf; a material whose `bottle` column names one has its strength. With
    `draws` the bands are those of so many runs with every uncertain input drawn at once."""
    reading, shelf = read_sheet(text), tuple(bottles)
    whole, _ = overlaid(reading.preparation, bank)
    refusal = refuse(reading.preparation, whole)
    if refusal:
        return Forecast(reading.preparation, refused=refusal)
    sheet, remarks = from_bottles(reading.preparation, whole, shelf)
    problems = (*reading.problems, *remarks)
    told = forecast_preparation(sheet, bank, problems, with_bands, memory, draws)
    cautions, not_assessed = assess(told, whole)
    rests_on = (*resting_on_bottles(sheet, shelf), *told.rests_on)
    return replace(told, cautions=cautions, not_assessed=not_assessed, rests_on=rests_on)


def check_sheet(text: str, bank: Bank, bottles: Iterable[Bottle] = ()) -> tuple[Problem, ...]:
    """Mistakes of language and names, in line order, without a simulation."""
    reading = read_sheet(text)
    whole, problems = overlaid(reading.preparation, bank)
    if refuse(reading.preparation, whole):
        return (Problem("sheet.refused", REFUSAL),)
    sheet, remarks = from_bottles(reading.preparation, whole, bottles)
    names = resolve_names(sheet, whole)
    found = (*reading.problems, *problems, *remarks, *names.problems)
    return tuple(sorted(dict.fromkeys(found), key=lambda p: p.line))


def review_forecast(told: Forecast, bank: Bank) -> Review:
    """The safety review of a forecast made by `forecast_sheet` with the same bank."""
    whole, _ = overlaid(told.preparation, bank)
    return review(told, whole)


def shelf_neighbours(bottles: Iterable[Bottle], bank: Bank) -> tuple[Caution, ...]:
    """Bottles that should not stand together, the gravest pair first."""
    return neighbours(bottles, bank)


def label_of(bottle: Bottle, bank: Bank) -> Label:
    """The GHS label of a bottle on the shelf, each statement with its reason."""
    return shelf_label(bottle, bank)
