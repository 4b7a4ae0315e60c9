"""The papers of a run and of a sheet, made alike for every face: rows, pictures, type."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable
from types import MappingProxyType
from typing import Any

from firstcrop.account.of_run import account_of
from firstcrop.account.records import Account
from firstcrop.account.study import Study
from firstcrop.account.watch import watch
from firstcrop.bank.bank import Bank, load_bank
from firstcrop.cautions.records import Label
from firstcrop.forecast.records import Bottle, Forecast
from firstcrop.notebook.book import find_photo
from firstcrop.notebook.plain import run_files
from firstcrop.notebook.records import Entry, Photo, Run
from firstcrop.papers.codes import qr_svg
from firstcrop.papers.typeset import typeset
from firstcrop.problems import Problem
from firstcrop.run import forecast_sheet, label_of, review_forecast
from firstcrop.shelf.bottles import levels
from firstcrop.shelf.cost import cost_of
from firstcrop.store.engine import Store
from firstcrop.views.account import account_rows
from firstcrop.views.bench import EntryRow, alarm_rows, bench_sheet, entry_rows
from firstcrop.views.bench_chart import readings_chart
from firstcrop.views.chart import chart, describe
from firstcrop.views.papers import label_rows, report_rows, run_sheet_rows

ENDINGS = MappingProxyType({"image/jpeg": "jpg", "image/png": "png", "image/webp": "webp"})
MOST_PHOTOS = 12
READINGS = "Forecast (line, with its 90 % band) and readings (rings) of each step."


def svg(spec: dict[str, Any]) -> bytes:
    """A Vega-Lite picture as SVG."""
    import vl_convert  # noqa: PLC0415  (slow to load)

    return str(vl_convert.vegalite_to_svg(spec)).encode()


def record(run: Run) -> str:
    """What a code on paper says: enough to find the run and to tell a changed one."""
    return f"firstcrop run {run.id}\n{run.title}\n{run.begun}\nentries {run.entries}\n{run.head}"


def run_account(
    store: Store, run: Run, entries: Iterable[Entry], bottles: Iterable[Bottle] = ()
) -> tuple[Forecast, Account]:
    """The account of a run, with the cost of its batch where every material it takes has a price
    in one currency (water is free)."""

    def price_of(told: Forecast) -> tuple[float, str] | None:
        lines = [x for x in cost_of(told, levels(store)).lines if x.material.lower() != "water"]
        priced = [x.price for x in lines if x.price is not None]
        one = {x.currency for x in lines}
        return (sum(priced), one.pop()) if len(priced) == len(lines) and len(one) == 1 else None

    return account_of(run.sheet, entries, load_bank(), bottles, price_of)


def report_pdf(
    store: Store,
    run: Run,
    entries: tuple[Entry, ...],
    studied: Study | Problem,
    bottles: Iterable[Bottle] = (),
) -> bytes | Problem:
    """The report of a run: method, readings, charts, account, sources."""
    told, found = run_account(store, run, entries, bottles)
    wrong = _unprintable(told)
    if wrong:
        return wrong
    sheet, rows = bench_sheet(told), entry_rows(entries)
    pictures = {"run.svg": svg(chart(told)), "record.svg": qr_svg(record(run))}
    shown = [("run.svg", describe(told))]
    readings = readings_chart(sheet, rows)
    if readings is not None:
        pictures["readings.svg"] = svg(readings)
        shown.insert(0, ("readings.svg", READINGS))
    photos = _photos(store, rows, pictures)
    alarms = () if isinstance(studied, Problem) else watch(studied, entries).alarms
    data = report_rows(
        run, told, sheet, rows, account_rows(found), alarm_rows(alarms), shown, photos
    )
    return typeset("report", data, pictures)


def _photos(store: Store, rows: Iterable[EntryRow], pictures: dict[str, bytes]) -> dict[str, str]:
    """File names of the photos by digest; the files are put among the pictures."""
    photos: dict[str, str] = {}
    for digest in dict.fromkeys(e.photo for e in rows if e.photo):
        photo = find_photo(store, digest)
        if isinstance(photo, Photo) and len(photos) < MOST_PHOTOS:
            photos[digest] = f"{digest}.{ENDINGS[photo.media_type]}"
            pictures[photos[digest]] = photo.content
    return photos


def run_sheet_pdf(text: str, today: str, bottles: Iterable[Bottle] = ()) -> bytes | Problem:
    """The run sheet of a sheet's text."""
    told = forecast_sheet(text, load_bank(), bottles=bottles)
    wrong = _unprintable(told)
    return wrong or typeset("run-sheet", run_sheet_rows(told, bench_sheet(told), today))


def labels_pdf(
    text: str, source: str, day: str, who: str = "", bottles: Iterable[Bottle] = ()
) -> bytes | Problem:
    """Labels of a sheet's bottles, liquors and crops; `source` is what the codes on them name,
    "run 4f…"."""
    told = forecast_sheet(text, load_bank(), with_bands=False, bottles=bottles)
    wrong = _unprintable(told)
    if wrong:
        return wrong
    labels = review_forecast(told, load_bank()).labels
    made = ", ".join(part for part in (told.preparation.title, day, who) if part)
    return _labels_set(labels, source, day, made)


def bottle_label_pdf(bottle: Bottle, bank: Bank, day: str) -> bytes | Problem:
    """The label of a bottle on the shelf at its strength of that day."""
    made = f"as it is on {day}"
    return _labels_set((label_of(bottle, bank),), f"bottle {bottle.key}", day, made)


def _labels_set(labels: Iterable[Label], source: str, day: str, made: str) -> bytes | Problem:
    labels = tuple(labels)
    codes = {label.name: f"code-{i}.svg" for i, label in enumerate(labels)}
    pictures = {file: qr_svg(f"firstcrop {source}\n{name}\n{day}") for name, file in codes.items()}
    return typeset("labels", label_rows(labels, codes, made), pictures)


def _unprintable(told: Forecast) -> Problem | None:
    if told.refused:
        return Problem("papers.refused", told.refused)
    if not told.steps:
        return Problem("papers.empty", "the sheet has no steps that could be forecast",
                       hint="firstcrop check says what is wrong with it")  # fmt: skip
    return None


def run_zip(store: Store, run_id: str) -> bytes | Problem:
    """One run as plain files in a zip."""
    files = run_files(store, run_id)
    if isinstance(files, Problem):
        return files
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(f"{run_id}/{name}", content)
    return out.getvalue()
