"""The application: its parts, one line each, behind one guard."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from importlib.resources import as_file, files
from pathlib import Path

from jinja2 import Environment, PackageLoader, select_autoescape
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from firstcrop.server import bench, sheets, shelf
from firstcrop.server.calls import House, Part
from firstcrop.server.engine import Engine
from firstcrop.server.guard import COOKIE, Guard, Rules, right_token
from firstcrop.server.keeper import Keeper
from firstcrop.server.offers import Offers
from firstcrop.server.studies import Studies
from firstcrop.server.vega import bundle


def parts() -> tuple[Part, ...]:
    """The parts in the order of the header; a new one is a line here."""
    return (Part("Sheet", "/", sheets.routes()), bench.part(), shelf.part())


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


def make_app(
    folder: Path, rules: Rules, engine: Engine | None = None, database: str | None = None
) -> Starlette:
    """The application over one folder and its database."""
    engine, keeper, studies = engine or Engine(), Keeper(folder, database), Studies()
    engine.shelf = studies.shelf = Offers(keeper).of
    known = parts()

    @asynccontextmanager
    async def lifespan(app: Starlette) -> AsyncIterator[None]:
        yield
        engine.close()
        keeper.close()
        studies.close()

    with as_file(files("firstcrop") / "client" / "static") as static:
        shared = (Route("/enter", enter), Route("/vega.js", vega))
        owned = (route for part in known for route in part.routes)
        routes = [*shared, *owned, Mount("/static", StaticFiles(directory=static))]
    app = Starlette(routes=routes, middleware=[Middleware(Guard, rules=rules)], lifespan=lifespan)
    pages = Environment(
        loader=PackageLoader("firstcrop", "client/templates"), autoescape=select_autoescape()
    )
    app.state.house = House(folder, engine, rules, pages, keeper, studies, known)
    return app
