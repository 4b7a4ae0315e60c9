"""What a run leaves on paper and in files: account, report, run sheet, labels, plain files."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType
from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from firstcrop.account.observed import with_observed
from firstcrop.account.of_run import account_of
from firstcrop.account.watch import watch
from firstcrop.bank.bank import load_bank
from firstcrop.notebook import book
from firstcrop.notebook.plain import run_files
from firstcrop.notebook.records import Entry, Photo, Run
from firstcrop.papers.codes import qr_svg
from firstcrop.papers.typeset import typeset
from firstcrop.problems import Problem
from firstcrop.run import forecast_sheet, review_forecast
from firstcrop.server.calls import Answer, Call, House, endpoint, refusal
from firstcrop.store.engine import Store
from firstcrop.views.account import account_rows
from firstcrop.views.bench import alarm_rows, bench_sheet, entry_rows
from firstcrop.views.bench_chart import readings_chart
from firstcrop.views.chart import chart, describe
from firstcrop.views.papers import label_rows, report_rows, run_sheet_rows

ENDINGS = MappingProxyType({"image/jpeg": "jpg", "image/png": "png", "image/webp": "webp"})
MOST_PHOTOS = 12


@dataclass(frozen=True, slots=True)
class Kept:
    """A run as the store has it, and what it is worked on with."""

    house: House
    store: Store
    run: Run
    entries: tuple[Entry, ...]


def find(request: Request) -> Kept | Problem:
    """The run a request names. Call it in a thread."""
    house: House = request.app.state.house
    store = house.keeper.store()
    if isinstance(store, Problem):
        return store
    found = book.find_run(store, request.path_params["id"])
    return found if isinstance(found, Problem) else Kept(house, store, *found)


@endpoint
async def account(call: Call) -> Answer:
    """The account of a run."""

    def work() -> Answer:
        kept = find(call.request)
        if isinstance(kept, Problem):
            return kept
        _, found = account_of(kept.run.sheet, kept.entries, load_bank())
        return account_rows(found)

    return await call.house.studies.run(work)


def paper(name: str, media: str, make: Callable[[Kept], bytes | Problem]) -> Route:
    """A route that answers a file made of a run."""

    async def answer(request: Request) -> Response:
        def work() -> bytes | Problem:
            kept = find(request)
            return kept if isinstance(kept, Problem) else make(kept)

        made = await request.app.state.house.studies.run(work)
        if isinstance(made, Problem):
            return refusal(made)
        shown = {"content-disposition": f'inline; filename="{name}"'}
        return Response(made, media_type=media, headers=shown)

    return Route(f"/api/runs/{{id:str}}/{name}", answer, methods=["GET"])


def svg(spec: dict[str, Any]) -> bytes:
    """A Vega-Lite picture as SVG."""
    import vl_convert  # noqa: PLC0415  (slow to load)

    return str(vl_convert.vegalite_to_svg(spec)).encode()


def report(kept: Kept) -> bytes | Problem:
    """The report as PDF."""
    told, found = account_of(kept.run.sheet, kept.entries, load_bank())
    sheet, entries = bench_sheet(told), entry_rows(kept.entries)
    pictures = {"run.svg": svg(chart(told)), "record.svg": qr_svg(record(kept.run))}
    shown = [("run.svg", describe(told))]
    readings = readings_chart(sheet, entries)
    if readings is not None:
        pictures["readings.svg"] = svg(readings)
        words = "Forecast (line, with its 90 % band) and readings (rings) of each step."
        shown.insert(0, ("readings.svg", words))
    photos: dict[str, str] = {}
    for digest in dict.fromkeys(e.photo for e in entries if e.photo):
        photo = book.find_photo(kept.store, digest)
        if isinstance(photo, Photo) and len(photos) < MOST_PHOTOS:
            photos[digest] = f"{digest}.{ENDINGS[photo.media_type]}"
            pictures[photos[digest]] = photo.content
    studied = kept.house.studies.of(kept.run.sheet)
    alarms = () if isinstance(studied, Problem) else watch(studied, kept.entries).alarms
    rows = report_rows(
        kept.run, told, sheet, entries, account_rows(found), alarm_rows(alarms), shown, photos
    )
    return typeset("report", rows, pictures)


def record(run: Run) -> str:
    """What a code on paper says: enough to find the run and to tell a changed one."""
    return f"firstcrop run {run.id}\n{run.title}\n{run.begun}\nentries {run.entries}\n{run.head}"


def run_sheet(kept: Kept) -> bytes | Problem:
    """The run sheet as PDF."""
    told = forecast_sheet(kept.run.sheet, load_bank())
    return typeset("run-sheet", run_sheet_rows(told, bench_sheet(told), date.today().isoformat()))


def labels(kept: Kept) -> bytes | Problem:
    """Labels of the run's bottles, liquors and crops as PDF."""
    told = forecast_sheet(kept.run.sheet, load_bank(), with_bands=False)
    review = review_forecast(told, load_bank())
    files = {f"code-{i}.svg": (label.name, i) for i, label in enumerate(review.labels)}
    pictures = {
        file: qr_svg(f"firstcrop run {kept.run.id}\n{name}\n{kept.run.begun[:10]}")
        for file, (name, _) in files.items()
    }
    codes = {name: file for file, (name, _) in files.items()}
    made = f"{kept.run.title}, {kept.run.begun[:10]}, {kept.run.who}"
    return typeset("labels", label_rows(review.labels, codes, made), pictures)


def observed(kept: Kept) -> bytes | Problem:
    """The sheet with what was observed."""
    return with_observed(kept.run.sheet, kept.entries).encode()


def plain_files(kept: Kept) -> bytes | Problem:
    """The run as plain files in a zip."""
    files = run_files(kept.store, kept.run.id)
    if isinstance(files, Problem):
        return files
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(f"{kept.run.id}/{name}", content)
    return out.getvalue()


def routes() -> tuple[Route, ...]:
    """The account and the files of a run."""
    return (
        Route("/api/runs/{id:str}/account", account, methods=["GET"]),
        paper("report.pdf", "application/pdf", report),
        paper("sheet.pdf", "application/pdf", run_sheet),
        paper("labels.pdf", "application/pdf", labels),
        paper("observed.md", "text/markdown", observed),
        paper("files.zip", "application/zip", plain_files),
    )
