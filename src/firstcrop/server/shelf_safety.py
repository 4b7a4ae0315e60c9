"""The shelf's label and neighbours, over the safety review's rows."""

from __future__ import annotations

from datetime import date

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from firstcrop.bank.bank import load_bank
from firstcrop.desk import bottle_label_pdf
from firstcrop.forecast.records import Bottle as Offered
from firstcrop.problems import Problem
from firstcrop.run import label_of, shelf_neighbours
from firstcrop.server.calls import Answer, Call, House, endpoint, refusal
from firstcrop.shelf.sheets import everything, told
from firstcrop.shelf.today import offered
from firstcrop.views.live import plain
from firstcrop.views.review import label_entry, pair_entry


def bottle_named(house: House, name: str) -> Offered | Problem:
    """A bottle at its strength today. Call it in a thread."""
    store = house.keeper.store()
    today = store if isinstance(store, Problem) else told(store, name, load_bank())
    return today if isinstance(today, Problem) else offered(today)


@endpoint
async def label(call: Call) -> Answer:
    """The label of a bottle in words."""

    def work() -> Answer:
        found = bottle_named(call.house, call.text("name"))
        return found if isinstance(found, Problem) else label_entry(label_of(found, load_bank()))

    return await call.house.engine.run(work)


@endpoint
async def apart(call: Call) -> Answer:
    """Bottles that must not stand together, the gravest pair first."""

    def work() -> Answer:
        store = call.house.keeper.store()
        if isinstance(store, Problem):
            return store
        standing = [offered(today) for today in everything(store, load_bank(), date.today())]
        found = shelf_neighbours(standing, load_bank())
        return {"pairs": plain([pair_entry(c) for c in found])}

    return await call.house.engine.run(work)


async def label_pdf(request: Request) -> Response:
    """The label of a bottle to print."""
    house: House = request.app.state.house

    def work() -> bytes | Problem:
        found = bottle_named(house, request.query_params.get("name", ""))
        if isinstance(found, Problem):
            return found
        return bottle_label_pdf(found, load_bank(), date.today().isoformat())

    made = await house.engine.run(work)
    if isinstance(made, Problem):
        return refusal(made)
    return Response(made, media_type="application/pdf")


def routes() -> tuple[Route, ...]:
    """For the shelf's part."""
    return (
        Route("/api/shelf/label", label, methods=["POST"]),
        Route("/api/shelf/apart", apart, methods=["GET"]),
        Route("/api/shelf/label.pdf", label_pdf, methods=["GET"]),
    )
