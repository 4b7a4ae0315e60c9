"""What was observed beside what was forecast."""

from __future__ import annotations

import math

from firstcrop.forecast.bands import Bands
from firstcrop.forecast.records import BlankAnswer, Comparison, Crop, Number, StepForecast
from firstcrop.quantity.records import Kind
from firstcrop.sheet.records import Observation, Preparation


def comparisons(
    prep: Preparation,
    steps: tuple[StepForecast, ...],
    crops: tuple[Crop, ...],
    blanks: tuple[BlankAnswer, ...],
    bands: Bands,
) -> tuple[Comparison, ...]:
    """One a line of `## Observed`; a subject the forecast does not know has a NaN number."""
    return tuple(_compare(o, steps, crops, blanks, bands) for o in prep.observed)


def _compare(
    o: Observation,
    steps: tuple[StepForecast, ...],
    crops: tuple[Crop, ...],
    blanks: tuple[BlankAnswer, ...],
    bands: Bands,
) -> Comparison:
    number = _forecast(o, steps, crops, blanks, bands)
    low, high = o.quantity.value - o.quantity.band, o.quantity.value + o.quantity.band
    inside = not math.isnan(number.value) and low <= number.high and number.low <= high
    return Comparison(o.text, o.quantity.value, low, high, number, inside, o.place)


def _unknown(why: str) -> Number:
    return Number(math.nan, math.nan, math.nan, "1", None, why)


def _forecast(
    o: Observation,
    steps: tuple[StepForecast, ...],
    crops: tuple[Crop, ...],
    blanks: tuple[BlankAnswer, ...],
    bands: Bands,
) -> Number:
    subject = o.subject.lower()
    if subject in ("crop", "yield"):
        return _crop(o, crops, subject)
    if subject in ("portion", "amount"):
        for blank in blanks:
            if not o.step or blank.step == o.step:
                return blank.number
        return _unknown("the sheet leaves no blank there")
    if subject == "gas" and not o.step:
        return _all_gas(steps)
    step = next((s for s in steps if s.number == (o.step or _last(steps))), None)
    if step is None:
        return _unknown(f"there is no step {o.step}")
    return _of_step(o, step, subject, bands)


def _last(steps: tuple[StepForecast, ...]) -> int:
    return steps[-1].number if steps else 0


def _crop(o: Observation, crops: tuple[Crop, ...], subject: str) -> Number:
    chosen = [c for c in crops if c.number == o.crop] if o.crop else list(crops[-1:])
    if not chosen:
        return _unknown("no crop is kept in the sheet")
    crop = chosen[0]
    if subject == "yield" and o.quantity.kind is not Kind.MASS:
        return crop.yield_fraction
    return crop.dry_mass


def _all_gas(steps: tuple[StepForecast, ...]) -> Number:
    """Gas of the whole run; bands added as they are, since one cause moves them all."""
    total = math.fsum(s.gas_volume.value for s in steps if not math.isnan(s.gas_volume.value))
    low = math.fsum(s.gas_volume.low for s in steps if not math.isnan(s.gas_volume.low))
    high = math.fsum(s.gas_volume.high for s in steps if not math.isnan(s.gas_volume.high))
    return Number(total, low, high, "m3")


def _of_step(o: Observation, step: StepForecast, subject: str, bands: Bands) -> Number:
    by_kind = {
        Kind.PH: step.end_ph,
        Kind.MASS: bands.number(("mass", step.number), "kg"),
        Kind.VOLUME: bands.number(("end volume", step.number), "m3"),
    }
    warm = o.quantity.kind is Kind.TEMPERATURE
    by_subject = {
        "gas": step.gas_volume,
        "peak": step.peak_temperature if warm else step.peak_volume,
        "lowest": step.lowest_temperature,
        "start": bands.number(("start", step.number), "K"),
        "ph": step.end_ph,
        "mass": by_kind[Kind.MASS],
        "volume": by_kind[Kind.VOLUME],
    }
    known = by_subject.get(subject.split(" ", maxsplit=1)[0])
    if known is not None:
        return known
    return by_kind.get(o.quantity.kind, step.end_temperature)
