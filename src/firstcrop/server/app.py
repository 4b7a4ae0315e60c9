"""The endpoints, each a few lines over `views`; docs/api.md describes them."""

from __future__ import annotations

import json
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass
from functools import wraps
from importlib.metadata import version
from importlib.resources import as_file, files
from pathlib import Path
from types import MappingProxyType
from typing import Any

from jinja2 import Environment, PackageLoader, select_autoescape
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from firstcrop.problems import Problem
from firstcrop.server.engine import Engine
from firstcrop.server.folder import Clash, Page, entries, read, save
from firstcrop.server.guard import COOKIE, LARGEST, Guard, Rules, problem_response, right_token
from firstcrop.server.vega import bundle
from firstcrop.server.warm import demo_text
from firstcrop.server.words import words
from firstcrop.views.inputs import turnables
from firstcrop.views.json import forecast_json
from firstcrop.views.lanes import picture
from firstcrop.views.live import live, plain
from firstcrop.views.working import working_rows

STATUS = MappingProxyType(
    {
        "file.missing": 404, "file.changed": 409, "name.bad": 400, "name.outside": 400,
        "file.large": 413, "file.encoding": 415, "file.unreadable": 403, "file.unwritable": 403,
        "request.bad": 400, "request.large": 413,
    }
)  # fmt: skip
Answer = Any
Endpoint = Callable[["Call"], Awaitable[Answer]]


@dataclass(frozen=True, slots=True)
class House:
    """What the endpoints share."""

    folder: Path
    engine: Engine
    rules: Rules
    pages: Environment


@dataclass(frozen=True, slots=True)
class Call:
    """One request: the house, the request, and its JSON body."""

    house: House
    request: Request
    body: dict[str, Any]

    def text(self, key: str = "text") -> str:
        """A text of the body; '' when there is none."""
        value = self.body.get(key, "")
        return value if isinstance(value, str) else ""

    def number(self, key: str, low: int, high: int, otherwise: int) -> int:
        """A whole number of the body within bounds."""
        value = self.body.get(key, otherwise)
        return min(max(value, low), high) if isinstance(value, int) else otherwise


def endpoint(work: Endpoint) -> Callable[[Request], Awaitable[Response]]:
    """Read the body, do the work, answer JSON; a Problem or a Clash becomes its status."""

    @wraps(work)
    async def answer(request: Request) -> Response:
        body = await _body(request)
        if isinstance(body, Problem):
            return _refusal(body)
        found = await work(Call(request.app.state.house, request, body))
        if isinstance(found, Response):
            return found
        if isinstance(found, Problem):
            return _refusal(found)
        if isinstance(found, Clash):
            return JSONResponse(
                {"problem": _problem(found.problem), "there": plain(found.there)}, 409
            )
        return JSONResponse(plain(found))

    return answer


async def _body(request: Request) -> dict[str, Any] | Problem:
    if request.method == "GET":
        return {}
    if not request.headers.get("content-type", "").startswith("application/json"):
        return Problem("request.bad", "the request is not JSON")
    raw = bytearray()
    async for part in request.stream():
        raw += part
        if len(raw) > LARGEST:
            return Problem("request.large", "this is more than 1 MB")
    try:
        found = json.loads(raw)
    except (ValueError, RecursionError):
        return Problem("request.bad", "the request is not JSON")
    return found if isinstance(found, dict) else Problem("request.bad", "not an object")


def _problem(problem: Problem) -> dict[str, str]:
    return {"code": problem.code, "message": problem.message, "hint": problem.hint}


def _refusal(problem: Problem) -> JSONResponse:
    status = STATUS.get(problem.code, 400)
    return problem_response(status, problem.code, problem.message, problem.hint)


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
    text, page, engine = call.text(), call.text("page"), call.house.engine
    return await engine.run(lambda: plain(live(engine.quick(text, page), bands=False)))


@endpoint
async def banded(call: Call) -> Answer:
    """The live rows with bands; 409 when the asker has gone in the meantime."""
    found = await call.house.engine.with_bands(call.text(), call.request.is_disconnected)
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
    house: House = request.app.state.house
    page = house.pages.get_template("page.html")
    return HTMLResponse(page.render(folder=house.folder.name, version=version("firstcrop")))


async def enter(request: Request) -> Response:
    """Show the token once; the browser keeps it in a cookie no script can read."""
    house: House = request.app.state.house
    shown = request.query_params.get("token", "")
    if house.rules.token and right_token(shown, house.rules.token):
        response = RedirectResponse("/", 303)
        response.set_cookie(COOKIE, shown, httponly=True, samesite="strict", max_age=30 * 86400)
        return response
    page = house.pages.get_template("enter.html")
    return HTMLResponse(page.render(wrong=bool(shown)), 401 if shown else 200)


async def vega(request: Request) -> Response:
    """The drawing library of the installed package."""
    script = await run_in_threadpool(bundle)
    age = {"cache-control": "private, max-age=86400"}
    return Response(script, media_type="text/javascript", headers=age)


ROUTES = (
    Route("/", home),
    Route("/enter", enter),
    Route("/vega.js", vega),
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


def make_app(folder: Path, rules: Rules, engine: Engine | None = None) -> Starlette:
    """The application over one folder."""
    engine = engine or Engine()

    @asynccontextmanager
    async def lifespan(app: Starlette) -> AsyncIterator[None]:
        yield
        engine.close()

    with as_file(files("firstcrop") / "client" / "static") as static:
        routes = [*ROUTES, Mount("/static", StaticFiles(directory=static))]
    app = Starlette(routes=routes, middleware=[Middleware(Guard, rules=rules)], lifespan=lifespan)
    pages = Environment(
        loader=PackageLoader("firstcrop", "client/templates"), autoescape=select_autoescape()
    )
    app.state.house = House(folder, engine, rules, pages)
    return app
