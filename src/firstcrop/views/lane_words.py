"""The pictures in words, a sentence a lane: for those who hear the page, and for paper."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from firstcrop.forecast.records import Forecast, StepForecast, Trace, Window
from firstcrop.views.numbers import show_value
from firstcrop.views.steps import TRACE_GAS, TRACE_SOLID, volume_text

POINTS = 5  # temperatures a solubility curve is told at


def in_words(forecast: Forecast) -> tuple[str, ...]:
    """A sentence for each lane that is drawn, and one for the limits that are broken."""
    if not forecast.trace.time:
        return ("Nothing could be simulated.",)
    found = [
        _temperature(forecast.steps),
        _volume(forecast.steps),
        _gas(forecast.trace),
        _ph(forecast.trace),
        *_solids(forecast.trace),
        *_broken(forecast.steps),
    ]
    return tuple(sentence for sentence in found if sentence)


def _most(
    steps: tuple[StepForecast, ...], of: Callable[[StepForecast], float]
) -> StepForecast | None:
    known = [step for step in steps if math.isfinite(of(step))]
    return max(known, key=of) if known else None


def _temperature(steps: tuple[StepForecast, ...]) -> str:
    hot = _most(steps, lambda s: s.peak_temperature.value)
    cold = _most(steps, lambda s: -s.lowest_temperature.value)
    if hot is None or cold is None:
        return ""
    high = show_value(hot.peak_temperature.value, "K")
    low = show_value(cold.lowest_temperature.value, "K")
    return (
        f"Temperature: at most {high} in step {hot.number}, at least {low} in step {cold.number}."
    )


def _volume(steps: tuple[StepForecast, ...]) -> str:
    full = _most(steps, lambda s: s.peak_volume.value)
    if full is None:
        return ""
    return (
        f"Volume: most in step {full.number}, {volume_text(full.peak_volume.value, full.capacity)}."
    )


def _gas(trace: Trace) -> str:
    total = max((g for g in trace.gas_total if math.isfinite(g)), default=0.0)
    if total < TRACE_GAS:
        return ""
    i = _peak(trace.gas_rate)
    rate = show_value(trace.gas_rate[i], "m3/s", 2)
    whole = show_value(total, "m3", 2)
    return f"Gas but steam: {whole} in all, fastest in step {trace.step[i]}, {rate}."


def _peak(series: tuple[float, ...]) -> int:
    return max(
        range(len(series)), key=lambda i: series[i] if math.isfinite(series[i]) else -math.inf
    )


def _ph(trace: Trace) -> str:
    known = [i for i, value in enumerate(trace.ph) if math.isfinite(value)]
    if not known:
        return ""
    high, low = max(known, key=trace.ph.__getitem__), min(known, key=trace.ph.__getitem__)
    return (
        f"pH: at most {show_value(trace.ph[high], 'pH')} in step {trace.step[high]}, "
        f"at least {show_value(trace.ph[low], 'pH')} in step {trace.step[low]}."
    )


def _solids(trace: Trace) -> Iterator[str]:
    for name, series in trace.solids:
        i = _peak(series) if series else -1
        if series and series[i] > TRACE_SOLID:
            yield f"{name}: at most {show_value(series[i], 'kg')}, in step {trace.step[i]}."


def _broken(steps: tuple[StepForecast, ...]) -> Iterator[str]:
    for step in steps:
        for limit in step.limits:
            if not limit.kept:
                yield f"Step {step.number} breaks its limit, {limit.text}."


def window_words(window: Window) -> tuple[str, ...]:
    """A sentence a solid: what stays dissolved of it at a few temperatures."""
    last = len(window.temperatures) - 1
    if last < 1 or not window.dissolved:
        return ()
    at = sorted({round(last * i / (POINTS - 1)) for i in range(POINTS)})
    found = []
    for name, values in window.dissolved:
        told = [
            f"{show_value(values[i], 'kg')} at {show_value(window.temperatures[i], 'K')}"
            for i in at
            if math.isfinite(values[i])
        ]
        if told:
            found.append(f"Of {name} stay dissolved: {', '.join(told)}.")
    return tuple(found)
