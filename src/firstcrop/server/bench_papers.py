"""What a run leaves on paper and in files: account, report, run sheet, labels, plain files."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from firstcrop import desk
from firstcrop.account.observed import with_observed
from firstcrop.forecast.records import Bottle
from firstcrop.notebook import book
from firstcrop.notebook.records import Entry, Run
from firstcrop.problems import Problem
from firstcrop.server.calls import Answer, Call, House, endpoint, refusal
from firstcrop.store.engine import Store
from firstcrop.views.account import account_rows


@dataclass(frozen=True, slots=True)
class Kept:
    """A run as the store has it, and what it is worked on with."""

    house: House
    store: Store
    run: Run
    entries: tuple[Entry, ...]

    @property
    def bottles(self) -> tuple[Bottle, ...]:
        """Those of the shelf that the run's sheet names, as they are today."""
        return self.house.studies.shelf(self.run.sheet)


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
        _, found = desk.run_account(kept.store, kept.run, kept.entries, kept.bottles)
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


def report(kept: Kept) -> bytes | Problem:
    """The report as PDF."""
    studied = kept.house.studies.of(kept.run.sheet)
    return desk.report_pdf(kept.store, kept.run, kept.entries, studied, kept.bottles)


def run_sheet(kept: Kept) -> bytes | Problem:
    """The run sheet as PDF."""
    return desk.run_sheet_pdf(kept.run.sheet, date.today().isoformat(), kept.bottles)


def labels(kept: Kept) -> bytes | Problem:
    """Labels of the run's bottles, liquors and crops as PDF."""
    run = kept.run
    return desk.labels_pdf(run.sheet, f"run {run.id}", run.begun[:10], run.who, kept.bottles)


def observed(kept: Kept) -> bytes | Problem:
    """The sheet with what was observed."""
    return with_observed(kept.run.sheet, kept.entries).encode()


def plain_files(kept: Kept) -> bytes | Problem:
    """The run as plain files in a zip."""
    return desk.run_zip(kept.store, kept.run.id)


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
