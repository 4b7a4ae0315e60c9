"""The sheet's page and its endpoints, each a few lines over `views`; docs/api.md describes them."""

from __future__ import annotations

from importlib.metadata import version
from time import perf_counter

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from firstcrop.server.calls import Answer, Call, endpoint, page
from firstcrop.server.folder import Page, entries, read, save
from firstcrop.server.guard import problem_response
from firstcrop.server.warm import demo_text
from firstcrop.server.words import words
from firstcrop.sheet.turnables import turnables
from firstcrop.views.json import forecast_json
from firstcrop.views.lanes import picture
from firstcrop.views.live import live, plain
from firstcrop.views.working import working_rows


@endpoint
async def sheets(call: Call) -> Answer:
    """The sheets of the folder."""
    found = await run_in_threadpool(entries, call.house.folder)
    return {"folder": call.house.folder.name, "sheets": plain(found)}


@endpoint
async def one_sheet(call: Call) -> Answer:
    """A sheet's text and the digest of what is on disk."""
    return await run_in_threadpool(read, call.house.folder, call.request.path_params["name"])


@endpoint
async def save_sheet(call: Call) -> Answer:
    """Save a sheet over exactly what was last seen."""
    name = call.request.path_params["name"]
    found = await run_in_threadpool(save, call.house.folder, name, call.text(), call.text("seen"))
    return {"name": found.name, "seen": found.seen} if isinstance(found, Page) else found


@endpoint
async def demo(call: Call) -> Answer:
    """The sheet a newcomer is shown; it is nobody's file yet."""
    return {"name": "first-sheet.md", "text": demo_text(), "seen": ""}


@endpoint
async def quick(call: Call) -> Answer:
    """The live rows without bands."""
    text, asker, engine = call.text(), call.text("page"), call.house.engine
    begun = perf_counter()
    engine.moved_on(asker)

    def work() -> Response:
        taken = perf_counter()
        found = engine.quick(text, asker)
        told = perf_counter()
        answer = JSONResponse(plain(live(found, bands=False)))
        parts = {"queue": taken - begun, "forecast": told - taken, "rows": perf_counter() - told}
        timing = ", ".join(f"{name};dur={1e3 * s:.2f}" for name, s in parts.items())
        answer.headers["server-timing"] = timing
        return answer

    return await engine.run(work)


@endpoint
async def banded(call: Call) -> Answer:
    """The live rows with bands; 409 when the asker has gone in the meantime."""
    found = await call.house.engine.with_bands(
        call.text(), call.request.is_disconnected, call.text("page")
    )
    if found is None:
        return problem_response(409, "bands.none", "the bands were not computed")
    return live(found, bands=True)


@endpoint
async def pictures(call: Call) -> Answer:
    """Lanes and windows as Vega-Lite at a width, in light or dark."""
    engine, text = call.house.engine, call.text()
    width, dark = call.number("width", 160, 2000, 640), call.body.get("dark") is True
    return await engine.run(lambda: plain(picture(engine.best(text), width, dark)))


@endpoint
async def working(call: Call) -> Answer:
    """The working of every number on a line."""
    engine, text, line = call.house.engine, call.text(), call.number("line", 0, 10**6, 0)
    sources = engine.bank().sources
    return {
        "rows": await engine.run(lambda: plain(working_rows(engine.best(text), line, "", sources)))
    }


@endpoint
async def inputs(call: Call) -> Answer:
    """The written numbers one may turn."""
    engine, text = call.house.engine, call.text()
    return {"inputs": await engine.run(lambda: plain(turnables(engine.best(text).preparation)))}


@endpoint
async def document(call: Call) -> Answer:
    """The document of `firstcrop forecast --json`."""
    engine, text = call.house.engine, call.text()
    return await engine.run(lambda: forecast_json(engine.best(text), version("firstcrop")))


@endpoint
async def vocabulary(call: Call) -> Answer:
    """What can be completed."""
    return await call.house.engine.run(lambda: words(call.house.engine.bank()))


async def home(request: Request) -> Response:
    """The page."""
    return page(request, "sheet.html")


def routes() -> tuple[Route, ...]:
    """All of them."""
    return (
        Route("/", home),
        Route("/api/sheets", sheets),
        Route("/api/sheets/{name}", one_sheet),
        Route("/api/sheets/{name}", save_sheet, methods=["PUT"]),
        Route("/api/demo", demo),
        Route("/api/words", vocabulary),
        Route("/api/forecast", quick, methods=["POST"]),
        Route("/api/bands", banded, methods=["POST"]),
        Route("/api/picture", pictures, methods=["POST"]),
        Route("/api/working", working, methods=["POST"]),
        Route("/api/inputs", inputs, methods=["POST"]),
        Route("/api/document", document, methods=["POST"]),
    )
