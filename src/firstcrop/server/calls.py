"""What every endpoint is made with: the house it lives in, one request, its JSON answer or its
page. docs/api.md tells how to add a page."""

from __future__ import annotations

import json
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from functools import wraps
from importlib.metadata import version
from pathlib import Path
from types import MappingProxyType
from typing import Any

from jinja2 import Environment
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response
from starlette.routing import Route

from firstcrop.problems import Problem
from firstcrop.server.engine import Engine
from firstcrop.server.folder import Clash
from firstcrop.server.guard import LARGEST, Rules, problem_response
from firstcrop.server.keeper import Keeper
from firstcrop.server.studies import Studies
from firstcrop.views.live import plain

STATUS = MappingProxyType(
    {
        "file.missing": 404, "file.changed": 409, "name.bad": 400, "name.outside": 400,
        "file.large": 413, "file.encoding": 415, "file.unreadable": 403, "file.unwritable": 403,
        "request.bad": 400, "request.large": 413, "notebook.run.missing": 404,
        "notebook.photo.missing": 404, "notebook.key.taken": 409, "notebook.run.taken": 409,
        "notebook.photo.large": 413, "notebook.photo.kind": 415, "sheet.refused": 403,
        "bands.none": 503, "shelf.missing": 404,
        "shelf.taken": 409, "shelf.changed": 409, "shelf.empty": 409, "store.closed": 503,
        "store.newer": 503, "store.busy": 503,
    }
)  # fmt: skip
Answer = Any
Endpoint = Callable[["Call"], Awaitable[Answer]]


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the program with a page of its own: what the header calls it, where it is, and
    its routes."""

    name: str
    path: str
    routes: tuple[Route, ...]


@dataclass(frozen=True, slots=True)
class House:
    """What the endpoints share."""

    folder: Path
    engine: Engine
    rules: Rules
    pages: Environment
    keeper: Keeper
    studies: Studies
    parts: tuple[Part, ...] = ()


def page(request: Request, template: str, **values: Any) -> HTMLResponse:
    """A template over `base.html`: the header leads to every part, the one we are in marked."""
    house: House = request.app.state.house
    text = house.pages.get_template(template).render(
        folder=house.folder.name,
        version=version("firstcrop"),
        parts=house.parts,
        here=request.url.path,
        **values,
    )
    return HTMLResponse(text)


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
            return refusal(body)
        found = await work(Call(request.app.state.house, request, body))
        if isinstance(found, Response):
            return found
        if isinstance(found, Problem):
            return refusal(found)
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


def refusal(problem: Problem) -> JSONResponse:
    """A Problem as an answer with its status."""
    status = STATUS.get(problem.code, 400)
    return problem_response(status, problem.code, problem.message, problem.hint)
