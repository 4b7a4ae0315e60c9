"""Ask the engine and print what it says: the commands that change no file but a picture."""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from firstcrop.bank.records import Source
from firstcrop.cli.exits import Exit
from firstcrop.cli.files import read_text, write_whole
from firstcrop.cli.lines import Line, line, show, width_of
from firstcrop.cli.waiting import forecast_message, waiting
from firstcrop.forecast.records import Bottle, Forecast
from firstcrop.problems import Problem, Severity, worst
from firstcrop.sheet.records import Preparation

CALL_MISTAKES = ("file.missing", "file.directory", "file.unreadable", "file.exists",
                 "file.unwritable")  # fmt: skip


def forecast_of(
    sheet: str, shelf: tuple[Path, str | None] | None = None, draws: int = 0
) -> Forecast:
    """The forecast of a file; one that cannot be read is a forecast of nothing but a Problem.
    Bottles it names stand on the shelf of its folder unless another shelf is given."""
    text = read_text(sheet)
    if isinstance(text, Problem):
        return Forecast(Preparation(title=sheet), problems=(text,))
    with waiting(forecast_message()):
        return forecast_text(text, shelf or (Path(sheet).parent, None), draws)


def forecast_text(
    text: str, shelf: tuple[Path, str | None] = (Path(), None), draws: int = 0
) -> Forecast:
    """The forecast of a sheet's text with the bottles of a shelf (folder, URL)."""
    from firstcrop.bank.bank import load_bank
    from firstcrop.run import forecast_sheet

    bottles = shelf_bottles(text, shelf)
    if isinstance(bottles, Problem):
        told = forecast_sheet(text, load_bank())
        return replace(told, problems=(bottles, *told.problems))
    return forecast_sheet(text, load_bank(), bottles=bottles, draws=draws)


def shelf_bottles(text: str, shelf: tuple[Path, str | None]) -> tuple[Bottle, ...] | Problem:
    """The bottles a sheet names, as a forecast takes them; the database is not touched for a
    sheet that names none."""
    from firstcrop.sheet.read import read_sheet

    named = tuple(m.bottle for m in read_sheet(text).preparation.materials if m.bottle)
    if not named:
        return ()
    from firstcrop.cli.shelf_store import bottles_named

    return bottles_named(*shelf, named)


def sources() -> Mapping[str, Source]:
    """Every reference of the bank by key."""
    from firstcrop.bank.bank import load_bank

    return load_bank().sources


def exit_of(forecast: Forecast) -> int:
    """What a forecast means for the exit code."""
    if forecast.refused:
        return int(Exit.REFUSED)
    return exit_of_problems(forecast.problems)


def exit_of_problems(problems: Sequence[Problem]) -> int:
    """1 when there is an error, 2 when the file's name was wrong, 0 otherwise."""
    if any(problem.code in CALL_MISTAKES for problem in problems):
        return int(Exit.USAGE)
    if any(problem.code == "sheet.refused" for problem in problems):
        return int(Exit.REFUSED)
    return int(Exit.ERRORS if worst(problems) is Severity.ERROR else Exit.FINE)


def draw(forecast: Forecast, name: str) -> Problem | None:
    """Write the picture of a forecast; a Problem when it cannot be written."""
    from firstcrop.views.chart import chart

    with waiting("Drawing"):
        picture = rendered(chart(forecast), Path(name).suffix.lower())
    return write_whole(name, picture, force=True)


def rendered(specification: dict[str, Any], ending: str) -> bytes:
    """The picture as the bytes of an .svg, .png or .pdf."""
    import vl_convert

    if ending == ".png":
        return bytes(vl_convert.vegalite_to_png(specification, scale=2))
    if ending == ".pdf":
        return bytes(vl_convert.vegalite_to_pdf(specification))
    return str(vl_convert.vegalite_to_svg(specification)).encode()


def print_json(forecast: Forecast) -> None:
    """The JSON document on standard output."""
    from importlib.metadata import version

    from firstcrop.views.json import forecast_json

    print(_dumped(forecast_json(forecast, version("firstcrop"))))


def _dumped(document: dict[str, Any]) -> str:
    return json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1)


def complain(*problems: Problem, lines: Sequence[str] = ()) -> int:
    """Problems on standard error, and the exit code they mean."""
    from firstcrop.cli.lines import plain
    from firstcrop.cli.pages import problems_page
    from firstcrop.views.problems import problem_rows

    page = problems_page(problem_rows(problems, lines), width_of(None))
    print(plain(page), file=sys.stderr)
    return exit_of_problems(problems)


def check(sheet: str, as_json: bool, width: int | None) -> int:
    """Print the language and naming problems of a sheet."""
    from firstcrop.cli.pages import problems_page
    from firstcrop.views.problems import problem_rows

    problems, lines = _checked(sheet)
    if as_json:
        from firstcrop.views.json import problems_document

        print(_dumped(problems_document(problems, lines)))
        return exit_of_problems(problems)
    columns = width_of(width)
    page = problems_page(problem_rows(problems, lines), columns)
    show(page or [line(f"{sheet}: no problems in the language or the names.")], columns)
    return exit_of_problems(problems)


def _checked(sheet: str) -> tuple[tuple[Problem, ...], tuple[str, ...]]:
    text = read_text(sheet)
    if isinstance(text, Problem):
        return (text,), ()
    from firstcrop.bank.bank import load_bank
    from firstcrop.run import check_sheet

    bottles = shelf_bottles(text, (Path(sheet).parent, None))
    if isinstance(bottles, Problem):
        return (bottles, *check_sheet(text, load_bank())), tuple(text.splitlines())
    return check_sheet(text, load_bank(), bottles), tuple(text.splitlines())


def explain(sheet: str, number: int, what: str, width: int | None) -> int:
    """Print the working of every number on a line."""
    from firstcrop.cli.explaining import working_page
    from firstcrop.views.working import working_rows

    forecast = forecast_of(sheet)
    if forecast.refused or not forecast.preparation.source_lines:
        return _unexplained(forecast)
    rows = working_rows(forecast, number, what, sources())
    columns = width_of(width)
    written = forecast.preparation.source_lines
    if not rows or number > len(written):
        return _no_numbers(forecast, number, what)
    page: list[Line] = working_page(rows, f"line {number}: {written[number - 1].strip()}", columns)
    show(page, columns)
    return exit_of(forecast)


def _unexplained(forecast: Forecast) -> int:
    if forecast.refused:
        print(forecast.refused, file=sys.stderr)
        return int(Exit.REFUSED)
    return complain(*forecast.problems) or int(Exit.ERRORS)


def _no_numbers(forecast: Forecast, number: int, what: str) -> int:
    wanted = f" called “{what}”" if what else ""
    lines = sorted({step.place.line for step in forecast.steps})
    hint = "steps stand on lines " + ", ".join(map(str, lines)) if lines else ""
    message = f"line {number} holds no computed number{wanted}"
    problem = Problem("explain.none", message, hint=hint)
    code = complain(problem)
    errors = [p for p in forecast.problems if p.severity is Severity.ERROR]
    if errors:
        complain(*errors, lines=forecast.preparation.source_lines)
    return code
