"""The picture of a run: lanes over one time axis, as a Vega-Lite specification (a plain dict)."""

from __future__ import annotations

import math
from typing import Any

from firstcrop.forecast.records import Forecast, Trace
from firstcrop.views.chart_time import WIDTH, Band, bands, clock
from firstcrop.views.numbers import show_number, show_value

Spec = dict[str, Any]

INK = "#2b2a28"
FAINT = "#8a857c"
PAPER = "#fffdf8"
SHADE = "#f1ece1"
HEAT = "#a63d1f"
WATER = "#2f6690"
GAS = "#4f7d5c"
ACID = "#7a4f8f"
SOLID = ("#5c5346", "#b07d2b", "#3f7f8c", "#8c3f5c", "#6b8c3f")
BROKEN = "#c1121f"
DASHES = ((1, 0), (6, 3), (2, 2), (8, 3, 2, 3), (4, 4))
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
            "subtitleColor": FAINT,
            "offset": 10,
        },
        "background": PAPER,
        "padding": 16,
        "config": {
            "font": "sans-serif",
            "view": {"stroke": None},
            "axis": {"grid": False, "domainColor": FAINT, "tickColor": FAINT, "labelColor": INK},
            "title": {"color": INK},
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


def _x(field: str = "x") -> Spec:
    return {
        "field": field,
        "type": "quantitative",
        "axis": None,
        "scale": {"domain": [0, WIDTH], "nice": False, "zero": False},
    }


def _shades() -> Spec:
    return {
        "data": {"name": "bands"},
        "transform": [{"filter": "datum.odd == 0"}],
        "mark": {"type": "rect", "color": SHADE},
        "encoding": {"x": _x(), "x2": {"field": "x2"}},
    }


def _lane(title: str, height: int, layers: list[Spec]) -> Spec:
    heading = {"text": title, "anchor": "start", "fontSize": 11, "offset": 3, "fontWeight": "bold"}
    return {
        "title": heading | {"frame": "group"},
        "width": WIDTH,
        "height": height,
        "layer": [_shades(), *layers],
    }


def _y(field: str, zero: bool = True, count: int = 4, **more: Any) -> Spec:
    axis = {"title": None, "tickCount": count, "minExtent": 34}
    scale = {"zero": zero, "nice": True} | more
    look = {"type": "quantitative", "axis": axis, "scale": scale, "stack": None}
    return {"field": field} | look


def _line(field: str, color: str, y: Spec, **mark: Any) -> Spec:
    return {
        "data": {"name": "run"},
        "transform": [{"filter": f"isValid(datum.{field})"}],
        "mark": {
            "type": "line",
            "color": color,
            "strokeWidth": 1.8,
            "clip": True,
            "strokeJoin": "round",
        }
        | mark,
        "encoding": {"x": _x(), "y": y, "detail": {"field": "run"}},
    }


def _words(values: list[Spec], color: str, y: Spec, **mark: Any) -> Spec:
    look = {"type": "text", "fontSize": 10, "color": color, "align": "left", "dy": -6}
    return {
        "data": {"values": values},
        "mark": look | mark,
        "encoding": {"x": _x(), "y": y, "text": {"field": "text"}},
    }


def _strip(drawn: tuple[Band, ...]) -> Spec:
    numbers = {
        "data": {"name": "bands"},
        "mark": {"type": "text", "fontSize": 13, "fontWeight": "bold", "color": INK, "y": 10},
        "encoding": {"x": _x("middle"), "text": {"field": "number"}},
    }
    verbs = {
        "data": {"name": "bands"},
        "mark": {"type": "text", "fontSize": 10, "color": FAINT, "y": 24},
        "encoding": {"x": _x("middle"), "text": {"field": "verb"}},
    }
    return _lane("Step", 32, [numbers, verbs])


def _temperature(forecast: Forecast, rows: list[Spec], drawn: tuple[Band, ...]) -> Spec:
    y = _y("t", zero=False)
    band = {
        "data": {"name": "run"},
        "transform": [{"filter": "isValid(datum.low) && isValid(datum.high)"}],
        "mark": {"type": "area", "color": HEAT, "opacity": 0.18},
        "encoding": {
            "x": _x(),
            "y": _y("low", zero=False),
            "y2": {"field": "high"},
            "detail": {"field": "run"},
        },
    }
    return _lane(
        "Temperature, °C",
        150,
        [band, _line("t", HEAT, y), *_vessels(rows), *_limits(forecast, drawn)],
    )


def _vessels(rows: list[Spec]) -> list[Spec]:
    """The vessel's name where a line begins, when there is more than one vessel."""
    starts = {row["run"]: row for row in reversed(rows) if row["t"] is not None}
    if len({row["vessel"] for row in starts.values()}) < 2:
        return []
    values = [{"x": r["x"] + 3, "t": r["t"], "text": r["vessel"]} for r in starts.values()]
    return [_words(values, FAINT, _y("t", zero=False), dy=10, fontStyle="italic")]


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
    color = {"condition": {"test": "datum.broken", "value": BROKEN}, "value": INK}
    width = {"condition": {"test": "datum.broken", "value": 2.6}, "value": 1.2}
    y = _y("t", zero=False)
    rule = {
        "data": {"values": values},
        "mark": {"type": "rule", "strokeDash": [5, 3]},
        "encoding": {
            "x": _x(), "x2": {"field": "x2"}, "y": y, "color": color, "strokeWidth": width
        },
    }  # fmt: skip
    words_layer = _words(values, INK, y)
    words_layer["encoding"]["color"] = color
    return [rule, words_layer]


def _volume(rows: list[Spec], drawn: tuple[Band, ...]) -> Spec:
    y = _y("volume", count=3)
    area = _line("volume", WATER, y) | {
        "mark": {
            "type": "area",
            "color": WATER,
            "opacity": 0.25,
            "line": {"color": WATER, "strokeJoin": "round"},
        }
    }
    foam = [r for r in rows if r["foam"] and r["volume"] and r["foam"] > 1.001 * r["volume"]]
    layers = [area]
    if foam:
        layers.append(_line("foam", WATER, _y("foam", count=3), strokeDash=[3, 3], strokeWidth=1.2))
    capacities = {r["run"]: r for r in reversed(rows) if r["capacity"]}
    if capacities:
        layers.append(
            _line("capacity", INK, _y("capacity", count=3), strokeDash=[8, 3], strokeWidth=1.2)
        )
        values = [
            {"x": r["x"] + 3, "capacity": r["capacity"], "text": f"{r['vessel']} full"}
            for r in capacities.values()
        ]
        layers.append(_words(values, INK, _y("capacity", count=3), dy=10))
    title = "Volume, mL" + (" (dotted: with gas held up)" if foam else "")
    return _lane(title, 85, layers)


def _gas(rows: list[Spec], drawn: tuple[Band, ...]) -> Spec | None:
    rates = [r["rate"] for r in rows if r["rate"]]
    totals = [r["total"] for r in rows if r["total"]]
    if not totals or max(totals) < 0.5:
        return None
    area = _line("rate", GAS, _y("rate", count=3)) | {
        "mark": {
            "type": "area",
            "color": GAS,
            "opacity": 0.3,
            "line": {"color": GAS, "strokeJoin": "round"},
        }
    }
    peak = max(rows, key=lambda r: r["rate"] or 0.0)
    final = max(totals)
    values = [{"x": peak["x"], "rate": 0.5 * peak["rate"], "text": _rate_words(rates, final)}]
    align = "left" if peak["x"] < 0.6 * WIDTH else "right"
    dx = 18 if align == "left" else -18
    words = _words(values, INK, _y("rate", count=3), align=align, dx=dx, dy=4)
    right = {"title": None, "tickCount": 3, "orient": "right", "format": "d"}
    total = _line("total", INK, _y("total") | {"axis": right}, strokeDash=[2, 2], strokeWidth=1.2)
    title = "Gas but steam: rate in mL/min (filled, left), total in mL (dotted, right)"
    lane = _lane(title, 75, [{"layer": [area, words]}, total])
    return lane | {"resolve": {"scale": {"y": "independent"}}}


def _rate_words(rates: list[float], total: float) -> str:
    peak = show_value(max(rates, default=0.0) / 6e7, "m3/s", 2)
    return f"at most {peak}, {show_value(total / 1e6, 'm3', 2)} in all"


def _ph(rows: list[Spec], drawn: tuple[Band, ...]) -> Spec | None:
    if all(row["ph"] is None for row in rows):
        return None
    axis = {"title": None, "values": [0, 7, 14], "minExtent": 34}
    y = _y("ph", domain=[-1, 15], nice=False) | {"axis": axis}
    neutral = {
        "data": {"values": [{"ph": 7}]},
        "mark": {"type": "rule", "color": FAINT, "strokeDash": [1, 3]},
        "encoding": {"y": y},
    }
    return _lane("pH", 70, [neutral, _line("ph", ACID, y, strokeWidth=2.0)])


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
    return _lane("Solids present, g", 85, layers)


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
    color = SOLID[index % len(SOLID)]
    dash = list(DASHES[index % len(DASHES)])
    y = _y("g", count=3)
    line = {
        "data": {"values": values},
        "mark": {"type": "line", "color": color, "strokeWidth": 2, "strokeDash": dash},
        "encoding": {"x": _x(), "y": y, "detail": {"field": "run"}},
    }
    top = max(values, key=lambda row: row["g"])
    right = top["x"] > 0.7 * WIDTH
    words = {"x": top["x"], "g": top["g"], "text": f"{name}, {top['g']:.3g} g"}
    align = "right" if right else "left"
    return [line, _words([words], INK, y, align=align, dx=-6 if right else 4, dy=-5)]


def _clock(drawn: tuple[Band, ...]) -> Spec:
    marks = {
        "data": {"values": clock(drawn)},
        "mark": {"type": "text", "fontSize": 10, "color": INK, "y": 8},
        "encoding": {"x": _x(), "text": {"field": "text"}},
    }
    cut = [{"x": (b.x + b.x2) / 2, "text": "≈"} for b in drawn if b.stretched]
    breaks = {
        "data": {"values": cut},
        "mark": {"type": "text", "fontSize": 12, "color": FAINT, "y": 21},
        "encoding": {"x": _x(), "text": {"field": "text"}},
    }
    title = "Time since the start, h:min" + (" (≈ a step not to the common scale)" if cut else "")
    return _lane(title, 26 if cut else 16, [marks, breaks] if cut else [marks])


def _empty(forecast: Forecast) -> Spec:
    text = forecast.refused or "Nothing could be simulated; the report says why."
    return {
        **_frame(forecast),
        "width": WIDTH,
        "height": 60,
        "data": {"values": [{"text": text}]},
        "mark": {"type": "text", "fontSize": 13, "color": INK},
        "encoding": {"text": {"field": "text"}},
    }
