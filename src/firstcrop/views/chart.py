"""The picture of a run: lanes over one time axis, as a Vega-Lite specification (a plain dict)."""

from __future__ import annotations

import math

from firstcrop.forecast.records import Forecast, Trace
from firstcrop.views import chart_parts as parts
from firstcrop.views.chart_parts import Spec
from firstcrop.views.chart_time import WIDTH, Band, bands, clock
from firstcrop.views.numbers import show_number, show_value

SCHEMA = "https://vega.github.io/schema/vega-lite/v5.json"
ROWS = 4000  # saved instants drawn; beyond that every n-th


def chart(forecast: Forecast) -> Spec:
    """The whole picture; with nothing simulated, a picture that says so."""
    drawn = bands(forecast)
    if not drawn or not forecast.trace.time:
        return _empty(forecast)
    rows = trace_rows(forecast.trace, drawn)
    lanes = [
        _strip(drawn),
        _temperature(forecast, rows, drawn),
        _volume(rows, drawn),
        _gas(rows, drawn),
        _ph(rows, drawn),
        _solids(forecast, drawn),
        _clock(drawn),
    ]
    return {
        **_frame(forecast),
        "vconcat": [lane for lane in lanes if lane],
        "spacing": 6,
        "datasets": {"run": rows, "bands": _band_rows(drawn)},
        "resolve": {"scale": {"color": "independent", "strokeDash": "independent"}},
    }


def _frame(forecast: Forecast) -> Spec:
    subtitle = "Forecast; shaded about a line: its 90 % band"
    return {
        "$schema": SCHEMA,
        "description": describe(forecast),
        "title": {
            "text": forecast.preparation.title,
            "subtitle": subtitle,
            "anchor": "start",
            "fontSize": 17,
            "subtitleColor": parts.FAINT,
            "offset": 10,
        },
        "background": parts.PAPER,
        "padding": 16,
        "config": {
            "font": "sans-serif",
            "view": {"stroke": None},
            "axis": {
                "grid": False,
                "domainColor": parts.FAINT,
                "tickColor": parts.FAINT,
                "labelColor": parts.INK,
            },
            "title": {"color": parts.INK},
        },
    }


def describe(forecast: Forecast) -> str:
    """The picture in words, for those who cannot see it."""
    title = forecast.preparation.title
    hot = [s for s in forecast.steps if not math.isnan(s.peak_temperature.value)]
    if not hot:
        return f"{title}: a run without a temperature forecast."
    top = max(hot, key=lambda s: s.peak_temperature.value)
    peak = show_number(top.peak_temperature).full
    return f"{title}: {len(forecast.steps)} steps; hottest in step {top.number}, {peak}."


def trace_rows(trace: Trace, drawn: tuple[Band, ...]) -> list[Spec]:
    """One row a saved instant, in the units of the picture; unknown values are null."""
    by_step = {band.number: band for band in drawn}
    stride = max(1, len(trace.time) // ROWS)
    rows: list[Spec] = []
    run, last = 0, ""
    for i in range(0, len(trace.time), stride):
        vessel = trace.vessel[i] if i < len(trace.vessel) else ""
        band = by_step.get(trace.step[i])
        if band is None:
            continue
        run += vessel != last
        last = vessel
        rows.append(
            {"x": band.place(trace.time[i]), "vessel": vessel, "run": run} | _cells(trace, i)
        )
    return rows


def _cells(trace: Trace, i: int) -> Spec:
    return {
        "t": _at(trace.temperature, i, 1.0, -273.15),
        "low": _at(trace.temperature_low, i, 1.0, -273.15),
        "high": _at(trace.temperature_high, i, 1.0, -273.15),
        "volume": _at(trace.volume, i, 1e6),
        "foam": _at(trace.foam_volume, i, 1e6),
        "capacity": _at(trace.capacity, i, 1e6),
        "ph": _at(trace.ph, i),
        "rate": _at(trace.gas_rate, i, 6e7),
        "total": _at(trace.gas_total, i, 1e6),
    }


def _at(series: tuple[float, ...], i: int, factor: float = 1.0, shift: float = 0.0) -> float | None:
    if i >= len(series) or not math.isfinite(series[i]):
        return None
    return round(series[i] * factor + shift, 6)


def _band_rows(drawn: tuple[Band, ...]) -> list[Spec]:
    found = []
    for index, band in enumerate(drawn):
        room = int((band.x2 - band.x) / 5.3)
        verb = band.verb if len(band.verb) <= room else ""
        row = {"x": band.x, "x2": band.x2, "middle": (band.x + band.x2) / 2, "verb": verb}
        found.append(row | {"number": str(band.number), "odd": index % 2})
    return found


def _strip(drawn: tuple[Band, ...]) -> Spec:
    numbers = {
        "data": {"name": "bands"},
        "mark": {"type": "text", "fontSize": parts.NUMBERS, "fontWeight": "bold", "y": 10}
        | {"color": parts.INK},
        "encoding": {"x": parts.x("middle"), "text": {"field": "number"}},
    }
    verbs = {
        "data": {"name": "bands"},
        "mark": {"type": "text", "fontSize": 10, "color": parts.FAINT, "y": 24},
        "encoding": {"x": parts.x("middle"), "text": {"field": "verb"}},
    }
    return parts.lane("Step", 32, [numbers, verbs])


def _temperature(forecast: Forecast, rows: list[Spec], drawn: tuple[Band, ...]) -> Spec:
    y = parts.y("t", zero=False)
    band = {
        "data": {"name": "run"},
        "transform": [{"filter": "isValid(datum.low) && isValid(datum.high)"}],
        "mark": {"type": "area", "color": parts.HEAT, "opacity": 0.18},
        "encoding": {
            "x": parts.x(),
            "y": parts.y("low", zero=False),
            "y2": {"field": "high"},
            "detail": {"field": "run"},
        },
    }
    return parts.lane(
        "Temperature, °C",
        150,
        [band, parts.line("t", parts.HEAT, y), *_vessels(rows), *_limits(forecast, drawn)],
    )


def _vessels(rows: list[Spec]) -> list[Spec]:
    """The vessel's name where a line begins, when there is more than one vessel."""
    starts = {row["run"]: row for row in reversed(rows) if row["t"] is not None}
    if len({row["vessel"] for row in starts.values()}) < 2:
        return []
    values = [{"x": r["x"] + 3, "t": r["t"], "text": r["vessel"]} for r in starts.values()]
    return [parts.words(values, parts.FAINT, parts.y("t", zero=False), dy=10, fontStyle="italic")]


def _limits(forecast: Forecast, drawn: tuple[Band, ...]) -> list[Spec]:
    places = {band.number: band for band in drawn}
    values = []
    for step in forecast.steps:
        for limit in step.limits:
            band = places[step.number]
            words = limit.text if limit.kept else f"{limit.text}: broken"
            row = {"x": band.x, "x2": band.x2, "t": limit.value - 273.15, "text": words}
            values.append(row | {"broken": not limit.kept})
    if not values:
        return []
    color = {"condition": {"test": "datum.broken", "value": parts.BROKEN}, "value": parts.INK}
    width = {"condition": {"test": "datum.broken", "value": 2.6}, "value": 1.2}
    y = parts.y("t", zero=False)
    rule = {
        "data": {"values": values},
        "mark": {"type": "rule", "strokeDash": [5, 3]},
        "encoding": {
            "x": parts.x(), "x2": {"field": "x2"}, "y": y, "color": color, "strokeWidth": width
        },
    }  # fmt: skip
    words_layer = parts.words(values, parts.INK, y)
    words_layer["encoding"]["color"] = color
    return [rule, words_layer]


def _volume(rows: list[Spec], drawn: tuple[Band, ...]) -> Spec:
    y = parts.y("volume", count=3)
    area = parts.line("volume", parts.WATER, y) | {
        "mark": {
            "type": "area",
            "color": parts.WATER,
            "opacity": 0.25,
            "line": {"color": parts.WATER, "strokeJoin": "round"},
        }
    }
    foam = [r for r in rows if r["foam"] and r["volume"] and r["foam"] > 1.001 * r["volume"]]
    layers = [area]
    if foam:
        layers.append(
            parts.line(
                "foam", parts.WATER, parts.y("foam", count=3), strokeDash=[3, 3], strokeWidth=1.2
            )
        )
    capacities = {r["run"]: r for r in reversed(rows) if r["capacity"]}
    if capacities:
        layers.append(
            parts.line(
                "capacity",
                parts.INK,
                parts.y("capacity", count=3),
                strokeDash=[8, 3],
                strokeWidth=1.2,
            )
        )
        values = [
            {"x": r["x"] + 3, "capacity": r["capacity"], "text": f"{r['vessel']} full"}
            for r in capacities.values()
        ]
        layers.append(parts.words(values, parts.INK, parts.y("capacity", count=3), dy=10))
    title = "Volume, mL" + (" (dotted: with gas held up)" if foam else "")
    return parts.lane(title, 85, layers)


def _gas(rows: list[Spec], drawn: tuple[Band, ...]) -> Spec | None:
    rates = [r["rate"] for r in rows if r["rate"]]
    totals = [r["total"] for r in rows if r["total"]]
    if not totals or max(totals) < 0.5:
        return None
    area = parts.line("rate", parts.GAS, parts.y("rate", count=3)) | {
        "mark": {
            "type": "area",
            "color": parts.GAS,
            "opacity": 0.3,
            "line": {"color": parts.GAS, "strokeJoin": "round"},
        }
    }
    peak = max(rows, key=lambda r: r["rate"] or 0.0)
    final = max(totals)
    values = [{"x": peak["x"], "rate": 0.5 * peak["rate"], "text": _rate_words(rates, final)}]
    align = "left" if peak["x"] < 0.6 * WIDTH else "right"
    dx = 18 if align == "left" else -18
    words = parts.words(values, parts.INK, parts.y("rate", count=3), align=align, dx=dx, dy=4)
    right = {"title": None, "tickCount": 3, "orient": "right", "format": "d"}
    total = parts.line(
        "total", parts.INK, parts.y("total") | {"axis": right}, strokeDash=[2, 2], strokeWidth=1.2
    )
    title = "Gas but steam, mL/min; dotted: total, mL"
    lane = parts.lane(title, 75, [{"layer": [area, words]}, total])
    return lane | {"resolve": {"scale": {"y": "independent"}}}


def _rate_words(rates: list[float], total: float) -> str:
    peak = show_value(max(rates, default=0.0) / 6e7, "m3/s", 2)
    return f"at most {peak}, {show_value(total / 1e6, 'm3', 2)} in all"


def _ph(rows: list[Spec], drawn: tuple[Band, ...]) -> Spec | None:
    if all(row["ph"] is None for row in rows):
        return None
    axis = {"title": None, "values": [0, 7, 14], "minExtent": 34}
    y = parts.y("ph", domain=[-1, 15], nice=False) | {"axis": axis}
    neutral = {
        "data": {"values": [{"ph": 7}]},
        "mark": {"type": "rule", "color": parts.FAINT, "strokeDash": [1, 3]},
        "encoding": {"y": y},
    }
    return parts.lane("pH", 70, [neutral, parts.line("ph", parts.ACID, y, strokeWidth=2.0)])


def _solids(forecast: Forecast, drawn: tuple[Band, ...]) -> Spec | None:
    trace = forecast.trace
    places = {band.number: band for band in drawn}
    layers: list[Spec] = []
    shown = [(name, series) for name, series in trace.solids if max(series, default=0.0) > 1e-5]
    stride = max(1, len(trace.time) // ROWS)
    for index, (name, series) in enumerate(shown):
        values = [
            {"x": places[trace.step[i]].place(trace.time[i]), "g": 1e3 * series[i], "run": run}
            for i, run in enumerate(_runs(trace.vessel))
            if i % stride == 0 and trace.step[i] in places
        ]
        layers.extend(_solid(_present(values), name, index))
    if not layers:
        return None
    return parts.lane("Solids present, g", 85, layers)


def _runs(vessels: tuple[str, ...]) -> list[int]:
    """A running number that steps whenever the vessel changes."""
    run, found = 0, []
    for index, vessel in enumerate(vessels):
        run += index > 0 and vessel != vessels[index - 1]
        found.append(run)
    return found


def _present(values: list[Spec]) -> list[Spec]:
    """The instants at which a solid is there, with the empty one on either side."""
    full = [row["g"] > 0.0 for row in values]
    near = zip(full, [False, *full], [*full[1:], False], strict=False)
    return [row for row, here in zip(values, near, strict=True) if any(here)]


def _solid(values: list[Spec], name: str, index: int) -> list[Spec]:
    color = parts.SOLID[index % len(parts.SOLID)]
    dash = list(parts.DASHES[index % len(parts.DASHES)])
    y = parts.y("g", count=3)
    line = {
        "data": {"values": values},
        "mark": {"type": "line", "color": color, "strokeWidth": 2, "strokeDash": dash},
        "encoding": {"x": parts.x(), "y": y, "detail": {"field": "run"}},
    }
    top = max(values, key=lambda row: row["g"])
    right = top["x"] > 0.5 * WIDTH
    words = {"x": top["x"], "g": top["g"], "text": f"{name}, {top['g']:.3g} g"}
    align = "right" if right else "left"
    return [line, parts.words([words], parts.INK, y, align=align, dx=-6 if right else 4, dy=-5)]


def _clock(drawn: tuple[Band, ...]) -> Spec:
    marks = {
        "data": {"values": clock(drawn)},
        "mark": {"type": "text", "fontSize": 10, "color": parts.INK, "y": 8},
        "encoding": {"x": parts.x(), "text": {"field": "text"}},
    }
    cut = [{"x": (b.x + b.x2) / 2, "text": "≈"} for b in drawn if b.stretched]
    breaks = {
        "data": {"values": cut},
        "mark": {"type": "text", "fontSize": 12, "color": parts.FAINT, "y": 21},
        "encoding": {"x": parts.x(), "text": {"field": "text"}},
    }
    title = "Time, h:min" + (" (≈ not to the common scale)" if cut else "")
    return parts.lane(title, 26 if cut else 16, [marks, breaks] if cut else [marks])


def _empty(forecast: Forecast) -> Spec:
    text = forecast.refused or "Nothing could be simulated; the report says why."
    return {
        **_frame(forecast),
        "width": WIDTH,
        "height": 60,
        "data": {"values": [{"text": text}]},
        "mark": {"type": "text", "fontSize": 13, "color": parts.INK},
        "encoding": {"text": {"field": "text"}},
    }
