"""What the lanes of the picture are drawn with: colours, axes, lines, words (Vega-Lite parts)."""

from __future__ import annotations

from typing import Any

from firstcrop.views.chart_time import WIDTH

Spec = dict[str, Any]

INK = "#2b2a28"
FAINT = "#6b665d"
PAPER = "#fffdf8"
SHADE = "#f1ece1"
HEAT = "#a63d1f"
WATER = "#2f6690"
GAS = "#4f7d5c"
ACID = "#7a4f8f"
SOLID = ("#5c5346", "#b07d2b", "#3f7f8c", "#8c3f5c", "#6b8c3f")
BROKEN = "#c1121f"
NUMBERS = 13  # px, of the steps along the top
DASHES = ((1, 0), (6, 3), (2, 2), (8, 3, 2, 3), (4, 4))


def x(field: str = "x") -> Spec:
    """The shared time axis, in drawn units."""
    return {
        "field": field,
        "type": "quantitative",
        "axis": None,
        "scale": {"domain": [0, WIDTH], "nice": False, "zero": False},
    }


def shades() -> Spec:
    """The bands of every other step."""
    return {
        "data": {"name": "bands"},
        "transform": [{"filter": "datum.odd == 0"}],
        "mark": {"type": "rect", "color": SHADE},
        "encoding": {"x": x(), "x2": {"field": "x2"}},
    }


def lane(title: str, height: int, layers: list[Spec]) -> Spec:
    """A lane of the picture: its title above, the step bands behind."""
    heading = {"text": title, "anchor": "start", "fontSize": 11, "offset": 3, "fontWeight": "bold"}
    return {
        "title": heading | {"frame": "group"},
        "width": WIDTH,
        "height": height,
        "layer": [shades(), *layers],
    }


def y(field: str, zero: bool = True, count: int = 4, **more: Any) -> Spec:
    """A quantity on the vertical axis; never stacked."""
    axis = {"title": None, "tickCount": count, "minExtent": 34}
    scale = {"zero": zero, "nice": True} | more
    look = {"type": "quantitative", "axis": axis, "scale": scale, "stack": None}
    return {"field": field} | look


def line(field: str, color: str, height: Spec, **mark: Any) -> Spec:
    """A line over the run, broken where the vessel changes or the value is not known."""
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
        "encoding": {"x": x(), "y": height, "detail": {"field": "run"}},
    }


def words(values: list[Spec], color: str, height: Spec, **mark: Any) -> Spec:
    """Texts put at their places in a lane."""
    look = {"type": "text", "fontSize": 10, "color": color, "align": "left", "dy": -6}
    return {
        "data": {"values": values},
        "mark": look | mark,
        "encoding": {"x": x(), "y": height, "text": {"field": "text"}},
    }
