"""The picture of a titration curve, as a Vega-Lite specification (a plain dict)."""

from __future__ import annotations

from firstcrop.shelf.titration_records import TitrationForecast
from firstcrop.views.chart import SCHEMA
from firstcrop.views.chart_parts import ACID, FAINT, INK, PAPER, SOLID, Spec

WIDTH, HEIGHT = 560, 340
MOST = 2  # indicators drawn
SEEN = 0.1  # a smaller jump is no point of the picture


def titration_chart(forecast: TitrationForecast) -> Spec:
    """The curve with its equivalence points and the indicators that fit best; without a curve, a
    picture that says why."""
    if not forecast.volumes:
        return _frame(forecast) | {
            "width": WIDTH,
            "height": 60,
            "data": {"values": [{"text": forecast.why or "There is no curve."}]},
            "mark": {"type": "text", "color": INK, "limit": WIDTH},
            "encoding": {"text": {"field": "text"}},
        }
    layers = [*_indicators(forecast), *_points(forecast), _line(forecast)]
    return _frame(forecast) | {"width": WIDTH, "height": HEIGHT, "layer": layers}


def _frame(forecast: TitrationForecast) -> Spec:
    return {
        "$schema": SCHEMA,
        "description": describe(forecast),
        "title": {
            "text": f"{forecast.substance} with {forecast.titrant}",
            "subtitle": f"Forecast; {forecast.strength / 1e3:g} mol/L in the burette",
            "anchor": "start",
            "fontSize": 16,
            "subtitleColor": FAINT,
        },
        "background": PAPER,
        "padding": 14,
        "config": {"font": "sans-serif", "view": {"stroke": None}, "axis": {"grid": False}},
    }


def describe(forecast: TitrationForecast) -> str:
    """The picture in words, for those who cannot see it."""
    head = f"Titration of {forecast.substance} with {forecast.titrant}"
    if not forecast.volumes:
        return f"{head}: no curve. {forecast.why}"
    points = "; ".join(
        f"{p.volume * 1e6:.2f} mL, {forecast.scale} {p.value:.2f}" for p in forecast.equivalences
    )
    return f"{head}. Equivalence at {points}."


def _x(field: str = "x") -> Spec:
    scale = {"nice": False}
    return {"field": field, "type": "quantitative", "title": "titrant, mL", "scale": scale}


def _y(forecast: TitrationForecast, field: str = "y") -> Spec:
    scale = {"zero": False, "nice": True}
    return {"field": field, "type": "quantitative", "title": forecast.scale, "scale": scale}


def _line(forecast: TitrationForecast) -> Spec:
    pairs = zip(forecast.volumes, forecast.values, strict=True)
    return {
        "data": {"values": [{"x": round(v * 1e6, 5), "y": round(p, 4)} for v, p in pairs]},
        "mark": {"type": "line", "color": ACID, "strokeWidth": 2.2, "strokeJoin": "round"},
        "encoding": {"x": _x(), "y": _y(forecast), "order": {"field": "x"}},
    }


def _points(forecast: TitrationForecast) -> list[Spec]:
    values = [
        {"x": p.volume * 1e6, "y": p.value, "text": f"{p.volume * 1e6:.2f} mL, {p.value:.1f}"}
        for number, p in enumerate(forecast.equivalences)
        if p.jump >= SEEN or number == forecast.counted
    ]
    data = {"values": values}
    place = {"x": _x(), "y": _y(forecast)}
    rule = {"type": "rule", "color": FAINT, "strokeDash": [2, 3]}
    dot = {"type": "point", "filled": True, "size": 55, "color": INK}
    words = {"type": "text", "align": "left", "dx": 8, "dy": 12, "color": INK, "fontSize": 11}
    return [
        {"data": data, "mark": rule, "encoding": {"x": _x()}},
        {"data": data, "mark": dot, "encoding": place},
        {"data": data, "mark": words, "encoding": place | {"text": {"field": "text"}}},
    ]


def _indicators(forecast: TitrationForecast) -> list[Spec]:
    """Bands over which the best indicators change, named at the left or, for a fall, the right."""
    shown = [i for i in forecast.indicators if i.fits][:MOST]
    rising = forecast.values[-1] > forecast.values[0]
    end = max(forecast.volumes) * 1e6
    layers: list[Spec] = []
    top = max(shown, key=lambda i: i.high, default=None)
    for number, indicator in enumerate(shown):
        color = SOLID[1 + number % (len(SOLID) - 1)]
        words = f"{indicator.name}: {indicator.colours[0]} to {indicator.colours[1]}"
        row = {"low": indicator.low, "high": indicator.high, "text": words}
        above = indicator is top
        row["x"], row["edge"] = 0.0 if rising else end, indicator.high if above else indicator.low
        align = {"align": "left", "dx": 4} if rising else {"align": "right", "dx": -4}
        mark = {"type": "text", "color": color, "fontSize": 11, "dy": 9 if above else -9} | align
        data = {"values": [row]}
        layers += [
            {
                "data": data,
                "mark": {"type": "rect", "color": color, "opacity": 0.16},
                "encoding": {"y": _y(forecast, "low"), "y2": {"field": "high"}},
            },
            {
                "data": data,
                "mark": mark,
                "encoding": {"x": _x(), "y": _y(forecast, "edge"), "text": {"field": "text"}},
            },
        ]
    return layers
