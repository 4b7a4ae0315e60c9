"""Steps as rows: peak and end temperature, volume against the vessel, pH, gas, solids, limits."""

from __future__ import annotations

import math

from firstcrop.forecast.records import Amounts, Forecast, Limit, Number, StepForecast, Trace
from firstcrop.views.numbers import (
    DASH,
    UNKNOWN,
    Shown,
    fixed,
    joined,
    scale_for,
    show_duration,
    show_number,
    show_value,
)
from firstcrop.views.rows import LimitRow, StepRow

TRACE_SOLID = 1e-6  # kg; less is not worth a word
STEAM = "H2O(g)"  # said by the boiling, not as a gas
TRACE_GAS = 2e-7  # m3
DIP = 0.5  # K below both ends before the lowest temperature gets a place of its own


def step_rows(forecast: Forecast) -> tuple[StepRow, ...]:
    """Every step in order."""
    texts = {step.number: step.text for step in forecast.preparation.steps}
    return tuple(_row(s, texts.get(s.number, s.summary), forecast.trace) for s in forecast.steps)


def _row(step: StepForecast, text: str, trace: Trace) -> StepRow:
    dips = step.lowest_temperature.value < (min(step.start.temperature, step.end.temperature) - DIP)
    return StepRow(
        number=step.number,
        line=step.place.line,
        vessel=step.vessel,
        text=text.strip() or step.summary,
        peak=_temperature(step.peak_temperature),
        lowest=show_number(step.lowest_temperature) if dips else None,
        ends=_temperature(step.end_temperature),
        volume=volume_text(step.peak_volume.value, step.capacity),
        crowded=_crowded(step),
        ph=_ph(step),
        gas=gas_text(step),
        solids=solids_text(step, trace),
        takes=show_duration(step.duration) if step.duration > 0.0 else DASH,
        limits=tuple(limit_row(limit, step) for limit in step.limits),
        heat=heat_lines(step),
    )


def _crowded(step: StepForecast) -> str:
    """A sentence when the vessel is too small, or may be by the band; else empty."""
    volume = step.peak_volume
    if volume.value > step.capacity:
        return f"the {step.vessel} is too small: {volume_text(volume.value, step.capacity)}"
    if volume.high > step.capacity:
        most = volume_text(volume.high, step.capacity)
        return f"the {step.vessel} may be too small: the band reaches {most}"
    return ""


def _temperature(number: Number) -> Shown:
    """A step that works on no vessel has no temperature: a dash, and why."""
    shown = show_number(number)
    return Shown(DASH, why=shown.why) if math.isnan(number.value) and shown.why else shown


def _ph(step: StepForecast) -> Shown:
    if math.isnan(step.end_ph.value):
        return Shown(DASH, why=step.end_ph.why)
    return show_number(step.end_ph, "pH")


def volume_text(volume: float, capacity: float) -> str:
    """ "64 of 400 mL"; without a named vessel only the volume."""
    if math.isnan(volume):
        return DASH
    if math.isnan(capacity):
        return show_value(volume, "m3")
    scale = scale_for("m3", capacity)
    held, whole = volume / scale.factor, capacity / scale.factor
    decimals = 0 if held >= 20 else 1 if held >= 1 else 2
    return f"{fixed(held, decimals)} of {joined(f'{whole:.4g}', scale.symbol)}"


def gas_text(step: StepForecast) -> str:
    """Volume given off at room conditions, and of what; a dash when none."""
    if math.isnan(step.gas_volume.value):
        return UNKNOWN
    moles = sorted(step.gas.items, key=lambda item: -item[1])
    names = [k for k, mol in moles if mol > 1e-3 * moles[0][1] and k != STEAM]
    if step.gas_volume.value < TRACE_GAS or not names:
        return DASH
    kinds = " + ".join(name.removesuffix("(g)") for name in names)
    return f"{show_value(step.gas_volume.value, 'm3', 2)} {kinds}"


def solids_text(step: StepForecast, trace: Trace) -> tuple[str, ...]:
    """ "12.1 g KAl(SO4)2·12H2O" for each solid at the step's end, the heaviest first."""
    masses = solids_at_end(step.number, trace)
    if masses:
        heavy = sorted(masses.items, key=lambda item: -item[1])
        return tuple(f"{show_value(kg, 'kg')} {name}" for name, kg in heavy if kg > TRACE_SOLID)
    most = sorted(step.solids.items, key=lambda item: -item[1])
    return tuple(f"{show_value(mol, 'mol')} {name}" for name, mol in most if mol > 1e-7)


def solids_at_end(number: int, trace: Trace) -> Amounts | None:
    """Solids in kg at the last saved instant of a step; None when the trace has none of it."""
    rows = [i for i, step in enumerate(trace.step) if step == number]
    if not rows or not trace.solids:
        return None
    return Amounts(tuple((name, series[rows[-1]]) for name, series in trace.solids))


def limit_row(limit: Limit, step: StepForecast) -> LimitRow:
    """How far inside or outside a limit the step stays, and whether the band does too."""
    by = joined(fixed(abs(limit.value - limit.reached), 1), "K")
    reached = show_value(limit.reached, "K")
    low, high = step.lowest_temperature.low, step.peak_temperature.high
    edge = low if "above" in limit.text else high
    crosses = edge < limit.value if "above" in limit.text else edge > limit.value
    if not limit.kept:
        return LimitRow(limit.text, f"broken by {by}: reaches {reached}", False)
    if crosses:
        doubt = f"but the band reaches {show_value(edge, 'K')}"
        return LimitRow(limit.text, f"kept by {by}, {doubt}", True, False)
    return LimitRow(limit.text, f"kept, {by} to spare", True)


def heat_lines(step: StepForecast) -> tuple[str, ...]:
    """Where the heat of a step came from and went, the largest share first."""
    if step.heat is None:
        return ()
    worth = [t for t in step.heat.terms if abs(t.value) >= 1.0]
    worth.sort(key=lambda term: -abs(term.value))
    return tuple(f"{_signed(t.value)} {t.label}" for t in worth)


def _signed(joules: float) -> str:
    return ("+" if joules > 0 else "") + show_value(joules, "J")
