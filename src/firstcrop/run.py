"""The one public call of the package: refuse, forecast, caution."""

from __future__ import annotations

from dataclasses import replace

from firstcrop.bank.bank import Bank
from firstcrop.cautions.all import assess
from firstcrop.cautions.refuse import refuse
from firstcrop.forecast.memory import Memory
from firstcrop.forecast.overlay import overlaid
from firstcrop.forecast.pipeline import forecast_preparation
from firstcrop.forecast.records import Forecast
from firstcrop.forecast.resolve import resolve_names
from firstcrop.problems import Problem
from firstcrop.sheet.read import read_sheet


def forecast_sheet(
    text: str, bank: Bank, with_bands: bool = True, memory: Memory | None = None
) -> Forecast:
    """The forecast of a sheet with its cautions; nothing is computed for a refused one. With a
    `memory` kept between calls, an edit recomputes only from the first step it changed."""
    reading = read_sheet(text)
    whole, _ = overlaid(reading.preparation, bank)
    refusal = refuse(reading.preparation, whole)
    if refusal:
        return Forecast(reading.preparation, refused=refusal)
    told = forecast_preparation(reading.preparation, bank, reading.problems, with_bands, memory)
    cautions, not_assessed = assess(told, whole)
    return replace(told, cautions=cautions, not_assessed=not_assessed)


def check_sheet(text: str, bank: Bank) -> tuple[Problem, ...]:
    """Mistakes of language and names, in line order, without a simulation."""
    reading = read_sheet(text)
    whole, problems = overlaid(reading.preparation, bank)
    names = resolve_names(reading.preparation, whole)
    found = (*reading.problems, *problems, *names.problems)
    return tuple(sorted(dict.fromkeys(found), key=lambda p: p.line))
