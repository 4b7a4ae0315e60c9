"""A forecast as a JSON document; `docs/json.md` describes it, `VERSION` changes when a key does.

SI values with their unit and band beside the text people see. Unknown values are null, and
`why` says what is missing. Keys come in a fixed order.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from firstcrop.forecast.records import (
    Amounts,
    BlankAnswer,
    Crop,
    Forecast,
    Moment,
    Number,
    StepForecast,
    Trace,
    Window,
    Working,
)
from firstcrop.problems import Place, Problem
from firstcrop.views.basis import basis_rows, books_sentence
from firstcrop.views.cautions import caution_rows
from firstcrop.views.crops import comparison_rows, comparison_unit, window_sentence
from firstcrop.views.numbers import show_number
from firstcrop.views.problems import in_order, problem_row
from firstcrop.views.rows import CautionRow
from firstcrop.views.working import show_terms

SCHEMA = "firstcrop.forecast"
VERSION = 1

Json = dict[str, Any]


def forecast_json(forecast: Forecast, version: str = "") -> Json:
    """The whole document; `version` is that of the program."""
    sheet = forecast.preparation
    return {
        "schema": SCHEMA,
        "version": VERSION,
        "program": version,
        "title": sheet.title,
        "makes": sheet.makes,
        "target": sheet.target or None,
        "refused": forecast.refused or None,
        "theory": _number(forecast.theory) if forecast.theory else None,
        "steps": [_step(step) for step in forecast.steps],
        "blanks": [_blank(b) for b in forecast.blanks],
        "crops": [_crop(crop) for crop in forecast.crops],
        "fates": [{"where": f.where, "mass": _number(f.mass)} for f in forecast.fates],
        "windows": [_window(w) for w in forecast.windows],
        "comparisons": _comparisons(forecast),
        "cautions": [_caution(row) for row in caution_rows(forecast)],
        "not_assessed": list(forecast.not_assessed),
        "problems": problems_json(forecast.problems, sheet.source_lines),
        "balances": [
            {"quantity": b.quantity, "put_in": _bare(b.put_in), "found": _bare(b.found),
             "gap": _bare(b.gap)}
            for b in forecast.balances
        ],
        "books": books_sentence(forecast.balances),
        "rests_on": [
            {"label": r.label, "value": r.value, "source": r.source, "obtained": r.obtained}
            for r in basis_rows(forecast)
        ],
        "trace": _trace(forecast.trace),
    }  # fmt: skip


def problems_json(problems: Sequence[Problem], lines: Sequence[str]) -> list[Json]:
    """Problems in line order with their places and the excerpt shown to people."""
    found = []
    for problem in in_order(problems):
        row = problem_row(problem, lines)
        found.append(
            {
                "code": row.code,
                "severity": row.severity,
                "message": row.message,
                "hint": row.hint or None,
                "places": [_place(place) for place in problem.places],
                "excerpt": list(row.excerpt),
            }
        )
    return found


def _place(place: Place) -> Json:
    return {
        "file": place.file or None,
        "line": place.line,
        "column": place.column,
        "length": place.length,
    }


def _bare(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _number(number: Number, unit: str = "") -> Json:
    shown = show_number(number, unit)
    return {
        "value": _bare(number.value),
        "low": _bare(number.low),
        "high": _bare(number.high),
        "unit": number.unit,
        "shown": shown.full,
        "why": number.why or None,
        "influences": [
            {"label": i.label, "down": _bare(i.down), "up": _bare(i.up)} for i in number.influences
        ],
        "working": _working(number.working) if number.working else None,
    }


def _working(working: Working) -> Json:
    return {
        "how": working.how,
        "terms": [
            {
                "label": term.label,
                "value": _bare(term.value),
                "unit": term.unit,
                "shown": shown,
                "note": term.note or None,
                "data": [
                    {
                        "label": d.label,
                        "value": d.value,
                        "unit": d.unit,
                        "band": d.band,
                        "obtained": d.obtained.value,
                        "source": d.source,
                        "where": d.where,
                    }
                    for d in term.data
                ],
            }
            for term, shown in zip(working.terms, show_terms(working), strict=True)
        ],
        "law": working.law or None,
        "source": working.source or None,
        "notes": list(working.notes),
    }


def _amounts(amounts: Amounts) -> Json:
    return {name: moles for name, moles in amounts.items if moles > 0.0}


def _moment(moment: Moment) -> Json:
    return {
        "time": _bare(moment.time),
        "temperature": _bare(moment.temperature),
        "volume": _bare(moment.volume),
        "mass": _bare(moment.mass),
        "ph": _bare(moment.ph),
        "solids": _amounts(moment.solids),
        "gas_total": _bare(moment.gas_total),
    }


def _step(step: StepForecast) -> Json:
    return {
        "number": step.number,
        "line": step.place.line,
        "vessel": step.vessel,
        "summary": step.summary,
        "duration": _bare(step.duration),
        "start": _moment(step.start),
        "end": _moment(step.end),
        "peak_temperature": _number(step.peak_temperature),
        "lowest_temperature": _number(step.lowest_temperature),
        "end_temperature": _number(step.end_temperature),
        "peak_volume": _number(step.peak_volume),
        "capacity": _bare(step.capacity),
        "end_ph": _number(step.end_ph, "pH"),
        "gas": _amounts(step.gas),
        "gas_volume": _number(step.gas_volume),
        "solids": _amounts(step.solids),
        "heat": _working(step.heat) if step.heat else None,
        "limits": [
            {
                "text": limit.text,
                "value": _bare(limit.value),
                "reached": _bare(limit.reached),
                "kept": limit.kept,
            }
            for limit in step.limits
        ],
    }


def _blank(blank: BlankAnswer) -> Json:
    return {
        "step": blank.step,
        "place": _place(blank.place),
        "answer": blank.text,
        "number": _number(blank.number),
        "bound": blank.bound,
    }


def _crop(crop: Crop) -> Json:
    return {
        "number": crop.number,
        "step": crop.step,
        "line": crop.place.line,
        "name": crop.name,
        "wet_mass": _number(crop.wet_mass),
        "dry_mass": _number(crop.dry_mass),
        "composition": dict(crop.composition),
        "purity": _number(crop.purity, "fraction"),
        "yield": _number(crop.yield_fraction, "fraction"),
        "left_in_liquor": _number(crop.left_in_liquor),
    }


def _window(window: Window) -> Json:
    return {
        "step": window.step,
        "wanted": window.wanted,
        "low": _bare(window.low),
        "high": _bare(window.high),
        "rivals": dict(window.rivals),
        "sentence": window_sentence(window),
    }


def _comparisons(forecast: Forecast) -> list[Json]:
    pairs = zip(forecast.comparisons, comparison_rows(forecast), strict=True)
    return [
        {
            "line": row.line,
            "text": c.text,
            "observed": {"value": _bare(c.observed), "low": _bare(c.low), "high": _bare(c.high)},
            "forecast": _number(c.forecast, comparison_unit(c)),
            "inside": c.inside,
            "verdict": row.verdict,
        }
        for c, row in pairs
    ]


def _caution(row: CautionRow) -> Json:
    return {
        "code": row.code,
        "severity": row.severity,
        "where": row.where,
        "message": row.message,
        "why": row.why,
        "remedy": row.remedy,
        "source": row.source,
        "unverified": row.unverified,
    }


def _series(values: tuple[float, ...]) -> list[float | None]:
    return [_bare(value) for value in values]


def _trace(trace: Trace) -> Json:
    return {
        "time": _series(trace.time),
        "step": list(trace.step),
        "vessel": list(trace.vessel),
        "temperature": _series(trace.temperature),
        "temperature_low": _series(trace.temperature_low),
        "temperature_high": _series(trace.temperature_high),
        "volume": _series(trace.volume),
        "foam_volume": _series(trace.foam_volume),
        "capacity": _series(trace.capacity),
        "ph": _series(trace.ph),
        "gas_rate": _series(trace.gas_rate),
        "gas_total": _series(trace.gas_total),
        "solids": {name: _series(series) for name, series in trace.solids},
    }


def problems_document(problems: Sequence[Problem], lines: Sequence[str]) -> Json:
    """The document of `check --json`."""
    return {
        "schema": "firstcrop.problems",
        "version": VERSION,
        "problems": problems_json(problems, lines),
    }
