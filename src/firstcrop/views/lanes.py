"""The picture for the page: the lanes of `chart` at the page's width and in its colours, with
what to say at each instant; and the window of a liquor as a picture of its own."""

from __future__ import annotations

import math
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from firstcrop.forecast.records import Forecast, Window
from firstcrop.views import chart_parts as ink
from firstcrop.views.chart import chart, describe
from firstcrop.views.chart_parts import Spec
from firstcrop.views.chart_time import WIDTH, Band, bands
from firstcrop.views.crops import window_sentence
from firstcrop.views.lane_words import in_words, window_words
from firstcrop.views.numbers import show_duration, show_value

NARROW = 460  # px; below it the steps' verbs are left out
NIGHT = MappingProxyType(
    {
        ink.INK: "#ece6da", ink.FAINT: "#a39c90", ink.PAPER: "#1d1f22", ink.SHADE: "#282b2f",
        ink.HEAT: "#f08a63", ink.WATER: "#7fb6dd", ink.GAS: "#8fc79e", ink.ACID: "#c79ada",
        ink.BROKEN: "#ff7a7a", ink.SOLID[0]: "#c9bda9", ink.SOLID[1]: "#e0b060",
        ink.SOLID[2]: "#7cc0cf", ink.SOLID[3]: "#d98aa8", ink.SOLID[4]: "#a9c97c",
    }
)  # fmt: skip
Rows = dict[str, list[Spec]]
MOMENTS = 400  # instants one can point at


@dataclass(frozen=True, slots=True)
class Moment:
    """What to say at one instant of the picture; `x` runs from 0 to 1 along the lanes."""

    x: float
    step: int
    clock: str
    says: tuple[tuple[str, str], ...]  # lane, value


@dataclass(frozen=True, slots=True)
class WindowPicture:
    """The window before a step: the sentence, its curves in words, the picture and its rows."""

    step: int
    line: int
    sentence: str
    words: tuple[str, ...]
    spec: Spec
    rows: Rows


@dataclass(frozen=True, slots=True)
class Picture:
    """The lanes and their rows by name (the page puts new rows into a picture that stands), the
    steps along them (number, from, to; 0 to 1) and what can be pointed at."""

    words: tuple[str, ...]
    lanes: Spec
    rows: Rows
    steps: tuple[tuple[int, float, float], ...]
    moments: tuple[Moment, ...]
    windows: tuple[WindowPicture, ...]


def picture(forecast: Forecast, width: int = WIDTH, dark: bool = False) -> Picture:
    """The picture at `width` px for the lanes themselves, axes apart."""
    drawn = bands(forecast)
    lanes = fitted(chart(forecast), width)
    lanes = {key: value for key, value in lanes.items() if key not in ("title", "$schema")}
    lanes["padding"] = 4
    spec, rows = parted(_coloured(lanes, dark))
    return Picture(
        words=(describe(forecast), *in_words(forecast)),
        lanes=spec,
        rows=rows,
        steps=tuple((b.number, b.x / WIDTH, b.x2 / WIDTH) for b in drawn),
        moments=_moments(forecast, drawn),
        windows=tuple(_window(forecast, w, width, dark) for w in forecast.windows),
    )


def fitted(spec: Any, width: int) -> Any:
    """The same picture drawn `width` px wide; words that would not fit are left out, and the
    steps' numbers are smaller where they would touch."""
    if isinstance(spec, list):
        return [fitted(item, width) for item in spec]
    if not isinstance(spec, dict):
        return spec
    wide = {k: fitted(v, width) for k, v in spec.items() if k != "datasets"}
    if wide.get("width") == WIDTH:
        wide["width"] = width
    if wide.get("fontSize") == ink.NUMBERS and width < NARROW:
        wide["fontSize"] = ink.NUMBERS - 3
    if "datasets" in spec:
        data = dict(spec["datasets"])
        data["bands"] = [_shortened(row, width) for row in data.get("bands", ())]
        wide["datasets"] = data
    return wide


def _shortened(row: Spec, width: int) -> Spec:
    room = (row["x2"] - row["x"]) * width / WIDTH / 6.2
    return row | {"verb": row["verb"] if len(row["verb"]) <= room and width >= NARROW else ""}


def _coloured(spec: Any, dark: bool) -> Any:
    """The picture in the colours of the page; the paper itself is the page's."""
    if isinstance(spec, dict):
        kept = {k: _coloured(v, dark) for k, v in spec.items() if k not in ("datasets", "data")}
        return kept | {k: spec[k] for k in ("datasets", "data") if k in spec}
    if isinstance(spec, list):
        return [_coloured(item, dark) for item in spec]
    if isinstance(spec, str):
        if spec == ink.PAPER:
            return "transparent"
        return NIGHT.get(spec, spec) if dark else spec
    return spec


def parted(spec: Spec) -> tuple[Spec, Rows]:
    """A picture without its rows, which are named, and the rows by name."""
    rows: Rows = dict(spec.get("datasets", {}))

    def bare(part: Any) -> Any:
        if isinstance(part, list):
            return [bare(item) for item in part]
        if not isinstance(part, dict):
            return part
        found = {
            k: bare(v) for k, v in part.items() if k not in ("datasets", "data", "description")
        }
        if "data" in part:
            found["data"] = part["data"]
            if "values" in part["data"]:
                name = f"rows {len(rows)}"
                rows[name] = part["data"]["values"]
                found["data"] = {"name": name}
        return found

    return bare(spec), rows


def _moments(forecast: Forecast, drawn: tuple[Band, ...]) -> tuple[Moment, ...]:
    trace = forecast.trace
    by_step = {band.number: band for band in drawn}
    stride = max(1, math.ceil(len(trace.time) / MOMENTS))
    found = []
    for i in range(0, len(trace.time), stride):
        band = by_step.get(trace.step[i])
        if band is not None:
            x = round(band.place(trace.time[i]) / WIDTH, 5)
            found.append(Moment(x, band.number, show_duration(trace.time[i]), _says(forecast, i)))
    return tuple(found)


def _says(forecast: Forecast, i: int) -> tuple[tuple[str, str], ...]:
    t = forecast.trace
    says = [("vessel", t.vessel[i]), ("temperature", show_value(t.temperature[i], "K"))]
    says.append(("volume", show_value(t.volume[i], "m3")))
    room = t.capacity[i] - t.foam_volume[i]
    if math.isfinite(room):
        says.append(("headroom", show_value(max(room, 0.0), "m3") if room > 0.0 else "none"))
    if math.isfinite(t.ph[i]):
        says.append(("pH", show_value(t.ph[i], "pH")))
    if t.gas_total[i] > 5e-7:
        says.append(("gas", f"{show_value(t.gas_rate[i], 'm3/s', 2)}, "
                            f"{show_value(t.gas_total[i], 'm3', 2)} so far"))  # fmt: skip
    solid = [f"{show_value(s[i], 'kg')} {name}" for name, s in t.solids if s[i] > 1e-5]
    return (*says, ("solids", ", ".join(solid))) if solid else tuple(says)


def _window(forecast: Forecast, window: Window, width: int, dark: bool) -> WindowPicture:
    line = next((s.place.line for s in forecast.steps if s.number == window.step), 0)
    spec, rows = parted(_coloured(window_chart(window, width), dark))
    words = window_words(window)
    return WindowPicture(window.step, line, window_sentence(window), words, spec, rows)


def window_chart(window: Window, width: int = WIDTH) -> Spec:
    """What stays dissolved of each solid against temperature, the safe range shaded."""
    series = window.dissolved or window.amounts
    grams = bool(window.dissolved)
    layers = [*_safe(window)]
    for index, (name, values) in enumerate(series):
        layers.extend(_curve(window, name, values, index, 1e3 if grams else 1.0))
    title = "Stays dissolved in this liquor, g" if grams else "Crystallised, mol"
    return {
        "description": window_sentence(window),
        "background": ink.PAPER,
        "padding": 4,
        "width": width,
        "height": 190,
        "title": {"text": title, "anchor": "start", "fontSize": 11, "frame": "group"},
        "layer": layers,
        "config": {
            "font": "sans-serif",
            "view": {"stroke": None},
            "title": {"color": ink.INK},
            "axis": {"grid": False, "domainColor": ink.FAINT, "tickColor": ink.FAINT,
                     "labelColor": ink.INK, "titleColor": ink.INK, "titleFontWeight": "normal"},
        },
    }  # fmt: skip


def _x() -> Spec:
    axis = {"title": "Temperature, °C", "tickCount": 6}
    return {"field": "t", "type": "quantitative", "axis": axis, "scale": {"nice": False}}


def _safe(window: Window) -> list[Spec]:
    if math.isnan(window.low) or math.isnan(window.high):
        return []
    low, high = window.low - 273.15, window.high - 273.15
    rows = [{"t": low, "t2": high, "text": f"only {window.wanted}"}]
    rect = {
        "data": {"values": rows},
        "mark": {"type": "rect", "color": ink.GAS, "opacity": 0.2},
        "encoding": {"x": _x(), "x2": {"field": "t2"}},
    }
    words = {
        "data": {"values": rows},
        "mark": {"type": "text", "align": "left", "dx": 4, "y": 180, "color": ink.INK},
        "encoding": {"x": _x(), "text": {"field": "text"}},
    }
    edges = {
        "data": {"values": [{"t": low}, {"t": high}]},
        "mark": {"type": "rule", "color": ink.GAS, "strokeDash": [5, 3], "strokeWidth": 1.5},
        "encoding": {"x": _x()},
    }
    return [rect, edges, words]


def _curve(
    window: Window, name: str, values: tuple[float, ...], index: int, factor: float
) -> list[Spec]:
    rows = [
        {"t": t - 273.15, "g": factor * v}
        for t, v in zip(window.temperatures, values, strict=True)
        if math.isfinite(v)
    ]
    if not rows:
        return []
    y = {"field": "g", "type": "quantitative", "axis": {"title": None, "tickCount": 4}}
    color = ink.SOLID[index % len(ink.SOLID)]
    dash = list(ink.DASHES[index % len(ink.DASHES)])
    line = {
        "data": {"values": rows},
        "mark": {"type": "line", "color": color, "strokeWidth": 2.2, "strokeDash": dash},
        "encoding": {"x": _x(), "y": y},
    }
    at = rows[min(len(rows) // 2 + index % 3, len(rows) - 1)]
    high = at["g"] > 0.8 * max(row["g"] for row in rows)  # then below the line, off the title
    dx, dy, align = (6, 14, "left") if high else (-6, -8, "right")
    words = {
        "data": {"values": [at | {"text": name}]},
        "mark": {"type": "text", "align": align, "dx": dx, "dy": dy, "color": ink.INK},
        "encoding": {"x": _x(), "y": y, "text": {"field": "text"}},
    }
    return [line, words]
