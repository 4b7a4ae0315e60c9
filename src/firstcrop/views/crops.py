"""What comes out: blanks answered, crops, windows and the comparison with what was observed."""

from __future__ import annotations

import math

from firstcrop.forecast.records import BlankAnswer, Comparison, Crop, Forecast, Number, Window
from firstcrop.views.numbers import show_number, show_value
from firstcrop.views.rows import BlankRow, ComparisonRow, CropRow, FateRow, WindowRow

MINOR = 1e-3  # fraction of a crop below which a companion is left out


def blank_rows(forecast: Forecast) -> tuple[BlankRow, ...]:
    """Every `?` with its answer, in the order of the sheet."""
    return tuple(_blank(b) for b in sorted(forecast.blanks, key=lambda b: b.place.line))


def _blank(blank: BlankAnswer) -> BlankRow:
    unit = "pH" if blank.text.lower().startswith("ph") else blank.number.unit
    shown = show_number(blank.number, unit)
    band = f"{shown.band} {_unit_of(shown.text)}".strip() if shown.band else ""
    if "portion" in blank.text and math.isfinite(blank.number.high - blank.number.low):
        fewest, most = math.floor(blank.number.low + 0.5), math.ceil(blank.number.high - 0.05)
        band = f"{fewest}–{most}" if most > fewest else ""
    return BlankRow(blank.step, blank.place.line, blank.text, band, blank.bound)


def _unit_of(text: str) -> str:
    return text.split(" ", 1)[1] if " " in text else ""


def crop_rows(forecast: Forecast) -> tuple[CropRow, ...]:
    """Every solid kept."""
    return tuple(_crop(crop) for crop in forecast.crops)


def _crop(crop: Crop) -> CropRow:
    whole = sum(kg for _, kg in crop.composition)
    parts = sorted(crop.composition, key=lambda part: -part[1])
    target = not math.isnan(crop.yield_fraction.value)
    return CropRow(
        number=crop.number,
        step=crop.step,
        line=crop.place.line,
        name=crop.name,
        wet=show_number(crop.wet_mass),
        dry=show_number(crop.dry_mass),
        purity=show_number(crop.purity, "fraction"),
        yield_=show_number(crop.yield_fraction, "fraction") if target else None,
        left=show_number(crop.left_in_liquor),
        holds=tuple(f"{show_value(kg, 'kg')} {name}" for name, kg in parts if kg > MINOR * whole),
    )


def fate_rows(forecast: Forecast) -> tuple[FateRow, ...]:
    """Where the target is at the end, the largest part first; parts too small to see left out."""
    whole = sum(fate.mass.value for fate in forecast.fates)
    return tuple(
        FateRow(f.where, show_number(f.mass), show_number(_part(f.mass, whole), "fraction"))
        for f in forecast.fates
        if abs(f.mass.value) > MINOR * whole
    )


def _part(mass: Number, whole: float) -> Number:
    return Number(mass.value / whole, mass.low / whole, mass.high / whole, "1")


def window_rows(forecast: Forecast) -> tuple[WindowRow, ...]:
    """Every cooling or boiling-down with the range in which only the wanted solid forms."""
    return tuple(WindowRow(w.step, w.wanted, window_sentence(w)) for w in forecast.windows)


def window_sentence(window: Window) -> str:
    """The window in words, naming the rival that closes it."""
    if math.isnan(window.high):
        return f"{window.wanted} does not crystallise from this liquor."
    high = show_value(window.high, "K")
    rivals = sorted(window.rivals, key=lambda rival: -rival[1])
    if math.isnan(window.low):
        first = f": {rivals[0][0]} comes out with it from {show_value(rivals[0][1], 'K')}"
        return f"no window for {window.wanted}{first if rivals else ''}."
    low = show_value(window.low, "K")
    cold = [name for name, kelvin in rivals if kelvin <= window.high]
    hot = [name for name, kelvin in rivals if kelvin > window.high]
    hotter = f" Hotter, {hot[0]} comes out." if hot else ""
    if not cold:
        end = f"down to {low}, the end of the scan; nothing joins it"
        return f"only {window.wanted} crystallises from {high} {end}.{hotter}"
    start = f"only {window.wanted} crystallises between {high} and {low}"
    return f"{start}; {cold[0]} joins below that.{hotter}"


def comparison_rows(forecast: Forecast) -> tuple[ComparisonRow, ...]:
    """Every line of Observed beside what was forecast."""
    return tuple(_comparison(c) for c in forecast.comparisons)


def comparison_unit(comparison: Comparison) -> str:
    """The unit to show it in: a share as %, a pH bare."""
    text = comparison.text.lower()
    if comparison.forecast.unit == "1":
        return "fraction" if "%" in text else "pH" if "ph" in text else "1"
    return comparison.forecast.unit


def _comparison(comparison: Comparison) -> ComparisonRow:
    unit = comparison_unit(comparison)
    shown = show_number(comparison.forecast, unit)
    if math.isnan(comparison.forecast.value):
        verdict = f"no forecast: {comparison.forecast.why}"
    elif comparison.inside:
        verdict = "agrees within the bands"
    else:
        verdict = f"outside the band: {_gap(comparison, unit)}"
    return ComparisonRow(comparison.place.line, comparison.text, shown, comparison.inside, verdict)


def _gap(comparison: Comparison, unit: str) -> str:
    forecast: Number = comparison.forecast
    gap = comparison.observed - forecast.value
    side = "higher" if gap > 0 else "lower"
    size = show_value(abs(gap), "K step" if unit == "K" else unit, 2)
    size = size.replace(" %", " points") if unit == "fraction" else size
    return f"observed {size} {side}"
