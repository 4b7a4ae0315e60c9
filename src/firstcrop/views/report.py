"""A forecast as one Report: every row the faces show, in reading order."""

from __future__ import annotations

from firstcrop.forecast.records import Forecast
from firstcrop.views.basis import basis_rows, books_sentence, doubt_rows, source_names
from firstcrop.views.cautions import caution_rows
from firstcrop.views.crops import blank_rows, comparison_rows, crop_rows, fate_rows, window_rows
from firstcrop.views.numbers import show_number
from firstcrop.views.problems import problem_rows
from firstcrop.views.rows import Report
from firstcrop.views.steps import step_rows


def report(forecast: Forecast, basis: bool = True) -> Report:
    """All rows of a forecast; with `basis` False without what it rests on, which takes as long as
    the rest. A refused one has a title, the sentence, and nothing else."""
    sheet = forecast.preparation
    if forecast.refused:
        return _refusal(sheet.title, forecast.refused)
    return Report(
        title=sheet.title,
        makes=sheet.makes.strip(),
        refused="",
        theory=show_number(forecast.theory) if forecast.theory else None,
        steps=step_rows(forecast),
        blanks=blank_rows(forecast),
        crops=crop_rows(forecast),
        windows=window_rows(forecast),
        comparisons=comparison_rows(forecast),
        cautions=caution_rows(forecast),
        not_assessed=forecast.not_assessed,
        problems=problem_rows(forecast.problems, sheet.source_lines),
        basis=basis_rows(forecast) if basis else (),
        doubts=doubt_rows(forecast) if basis else (),
        sources=source_names(forecast) if basis else (),
        books=books_sentence(forecast.balances),
        fates=fate_rows(forecast),
    )


def _refusal(title: str, sentence: str) -> Report:
    return Report(title, "", sentence, None, (), (), (), (), (), (), (), (), (), (), (), "")
