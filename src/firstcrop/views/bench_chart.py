"""Forecast and readings of a run drawn together, step by step, as a Vega-Lite specification."""

from __future__ import annotations

from firstcrop.views.bench import BenchSheet, EntryRow
from firstcrop.views.chart import SCHEMA
from firstcrop.views.chart_parts import Spec

WIDTH, HEIGHT, ACROSS = 300, 150, 2


def readings_chart(sheet: BenchSheet, entries: tuple[EntryRow, ...]) -> Spec | None:
    """One small picture a step with readings of temperature; None when there is none."""
    panels = []
    for step in sheet.steps:
        read = [
            {"min": e.minutes, "C": e.celsius}
            for e in entries
            if e.step == step.number
            and e.stands
            and e.celsius is not None
            and e.minutes is not None
        ]
        if read:
            curve = [{"min": m, "C": c, "low": lo, "high": hi} for m, c, lo, hi in step.curve]
            panels.append(_panel(step.number, curve, read))
    if not panels:
        return None
    return {
        "$schema": SCHEMA,
        "config": {"font": "Libertinus Serif, serif", "view": {"stroke": "#999999"}},
        "columns": ACROSS,
        "concat": panels,
    }


def _panel(number: int, curve: list[Spec], read: list[Spec]) -> Spec:
    x = {"field": "min", "type": "quantitative", "title": "minutes into the step"}
    y = {
        "field": "C", "type": "quantitative", "title": "°C", "scale": {"zero": False},
    }  # fmt: skip
    band = {**y, "field": "low"}
    return {
        "title": {"text": f"step {number}", "anchor": "start"},
        "width": WIDTH,
        "height": HEIGHT,
        "layer": [
            {
                "data": {"values": curve},
                "mark": {"type": "area", "color": "#bbbbbb", "opacity": 0.6},
                "encoding": {"x": x, "y": band, "y2": {"field": "high"}},
            },
            {
                "data": {"values": curve},
                "mark": {"type": "line", "color": "#235a82", "strokeWidth": 2},
                "encoding": {"x": x, "y": y},
            },
            {
                "data": {"values": read},
                "mark": {"type": "point", "color": "#000000", "size": 60, "filled": False},
                "encoding": {"x": x, "y": y},
            },
        ],
    }
