"""The shelf's page and its endpoints: bottles, draws, age, assays, stock solutions, CSV."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime, timedelta
from typing import Any

from sqlalchemy.exc import OperationalError
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from firstcrop.bank.bank import Bank, load_bank
from firstcrop.problems import Problem
from firstcrop.quantity.read import read_quantity, read_strength
from firstcrop.server import shelf_safety
from firstcrop.server.calls import STATUS, Answer, Call, Part, endpoint, page
from firstcrop.shelf import bottles
from firstcrop.shelf.amounts import amount_in
from firstcrop.shelf.assay import assay
from firstcrop.shelf.assay_methods import find_method, form, load_methods
from firstcrop.shelf.assay_readings import read_readings
from firstcrop.shelf.assay_records import Assay
from firstcrop.shelf.assay_storing import fits, record_of
from firstcrop.shelf.cost import advice, cost_of
from firstcrop.shelf.csv_file import cells_of, export_csv, import_csv
from firstcrop.shelf.entering import CELLS, hazard_words, read_bottle, written
from firstcrop.shelf.law import notices, place_of, set_place
from firstcrop.shelf.recipe import recipe
from firstcrop.shelf.records import Bottle, Draw, Level, Today
from firstcrop.shelf.sheets import draw_for, everything, told
from firstcrop.shelf.today import strength_today
from firstcrop.store.engine import Store, trouble
from firstcrop.views.assay import budget_rows, result_sentences
from firstcrop.views.live import plain
from firstcrop.views.problems import problem_row
from firstcrop.views.shelf import (
    BottleRow,
    assay_row,
    bottle_row,
    cost_row,
    draw_row,
    level_sentence,
    recipe_row,
    show_strength,
)

AHEAD = (0, 30, 91, 182, 365)  # d
Work = Callable[[Store, Bank], Answer]


async def shelf_page(request: Request) -> Response:
    """The page."""
    return page(request, "shelf.html", cells=CELLS, methods=load_methods())


async def with_shelf(call: Call, work: Work) -> Answer:
    """Do something with the shelf in the forecasts' thread: what it asks of the engine queues."""

    def done() -> Answer:
        store = call.house.keeper.store()
        try:
            return store if isinstance(store, Problem) else work(store, load_bank())
        except OperationalError as error:
            return trouble(error)

    return await call.house.engine.run(done)


def refused(problems: tuple[Problem, ...], text: str = "") -> Response:
    """Several mistakes at once: the first in the usual place, all of them beside it."""
    lines = tuple(text.splitlines())
    first = problems[0]
    told = {"code": first.code, "message": first.message, "hint": first.hint}
    rows = [plain(problem_row(p, lines)) for p in problems]
    return JSONResponse({"problem": told, "problems": rows}, STATUS.get(first.code, 400))


def row_of(store: Store, today: Today, bank: Bank) -> BottleRow:
    """A bottle as a row with the law's notices."""
    warnings = hazard_words(today.level.bottle.hazards)
    return bottle_row(today, notices(today, bank, place_of(store)), warnings)


@endpoint
async def shelf(call: Call) -> Answer:
    """Every bottle, and whose law holds."""

    def work(store: Store, bank: Bank) -> Answer:
        rows = [row_of(store, today, bank) for today in everything(store, bank, date.today())]
        return {"bottles": plain(rows), "place": place_of(store)}

    return await with_shelf(call, work)


@endpoint
async def one(call: Call) -> Answer:
    """A bottle in full: its row, its cells, its draws and assays, its strength over a year."""

    def work(store: Store, bank: Bank) -> Answer:
        today = told(store, call.text("name"), bank)
        if isinstance(today, Problem):
            return today
        level = today.level
        drawn = bottles.draws(store, level.bottle.name)
        found = bottles.assays(store, level.bottle.name)
        return {
            "bottle": plain(row_of(store, today, bank)),
            "cells": cells_of(level),
            "draws": [] if isinstance(drawn, Problem)
            else [plain(draw_row(d, level.bottle.unit)) for d in reversed(drawn)],
            "assays": [] if isinstance(found, Problem)
            else [plain(assay_row(a)) for a in reversed(found)],
            "ahead": ahead(level, bank),
        }  # fmt: skip

    return await with_shelf(call, work)


def ahead(level: Level, bank: Bank) -> list[dict[str, Any]]:
    """The strength today and over the coming year."""
    day = date.today()
    days = [day + timedelta(n) for n in AHEAD]
    found = [(d, strength_today(level, bank, d)) for d in days]
    return [
        {"on": d.isoformat(), "strength": show_strength(t.strength), "titrate": t.titrate}
        for d, t in found
    ]


def cells_sent(call: Call) -> Mapping[str, str]:
    """The cells of a bottle in the body."""
    sent = call.body.get("cells")
    found = sent if isinstance(sent, dict) else {}
    return {k: v for k, v in found.items() if k in CELLS and isinstance(v, str)}


@endpoint
async def add(call: Call) -> Answer:
    """Put a bottle on the shelf."""

    def work(store: Store, bank: Bank) -> Answer:
        made = read_bottle(cells_sent(call), bank)
        if not isinstance(made, Bottle):
            return refused(made)
        kept = bottles.add_bottle(store, made)
        return kept if isinstance(kept, Problem) else {"name": kept.name}

    return await with_shelf(call, work)


@endpoint
async def change(call: Call) -> Answer:
    """Change what is written about a bottle, from the edition the change was made of."""

    def work(store: Store, bank: Bank) -> Answer:
        name = call.text("name")
        made = read_bottle({**cells_sent(call), "name": name}, bank)
        if not isinstance(made, Bottle):
            return refused(made)
        edition = call.number("edition", 0, 10**9, -1)
        kept = bottles.change_bottle(store, name, edition, **written(made))
        return kept if isinstance(kept, Problem) else {"name": kept.name}

    return await with_shelf(call, work)


@endpoint
async def draw(call: Call) -> Answer:
    """Take out, put back, or set what is left; the same key counts once."""

    def work(store: Store, bank: Bank) -> Answer:
        today = told(store, call.text("name"), bank)
        if isinstance(today, Problem):
            return today
        amount = amount_in(call.text("amount"), today, bank)
        if isinstance(amount, Problem):
            return amount
        how = call.text("how")
        if amount < 0.0 or (amount == 0.0 and how != "left"):
            return Problem("shelf.amount", "how much? the amount is nothing")
        out = {"left": today.level.left - amount, "back": -amount}.get(how, amount)
        notes = "counted" if how == "left" else ""
        key = call.text("key") or uuid.uuid4().hex
        taken = Draw(key, "", call.text("who"), out, call.text("for"), notes)
        level = bottles.draw(store, call.text("name"), taken)
        return level if isinstance(level, Problem) else {"told": level_sentence(level)}

    return await with_shelf(call, work)


@endpoint
async def stock(call: Call) -> Answer:
    """How to make a stock solution from a bottle."""

    def work(store: Store, bank: Bank) -> Answer:
        today = told(store, call.text("name"), bank)
        wanted, amount = read_strength(call.text("strength")), read_quantity(call.text("amount"))
        for part in (today, wanted, amount):
            if isinstance(part, Problem):
                return part
        assert isinstance(today, Today)
        assert not isinstance(wanted, Problem)
        assert not isinstance(amount, Problem)
        of = call.text("of").strip() or today.level.bottle.substance
        found = recipe(today, of, wanted, amount, bank)
        return found if isinstance(found, Problem) else plain(recipe_row(found))

    return await with_shelf(call, work)


@endpoint
async def takes(call: Call) -> Answer:
    """What a run of a text takes from the shelf and costs, and which strengths spoil it."""
    text = call.text()
    told = await call.house.engine.with_bands(text, call.request.is_disconnected)
    if told is None:
        return Problem("bands.none", "the forecast was not computed; try again")
    if told.refused:
        return Problem("sheet.refused", told.refused)

    def work(store: Store, bank: Bank) -> Answer:
        del bank
        row = cost_row(cost_of(told, bottles.levels(store), call.number("runs", 1, 1000, 1)))
        return {"cost": plain(row), "strengths": plain(advice(told))}

    return await with_shelf(call, work)


@endpoint
async def run(call: Call) -> Answer:
    """Draw what a run of a text takes, from every bottle it names or from none; once for a key."""

    def work(store: Store, bank: Bank) -> Answer:
        del bank
        forecast = call.house.engine.best(call.text())
        key = call.text("key") or uuid.uuid4().hex
        found = draw_for(store, forecast, call.text("who"), call.text("name"), key[:56])
        if isinstance(found, Problem):
            return found
        return {"told": [level_sentence(level) for level in found]}

    return await with_shelf(call, work)


@endpoint
async def assay_form(call: Call) -> Answer:
    """The empty table of readings of a method."""
    method = find_method(call.text("method"))
    return method if isinstance(method, Problem) else {"text": form(method)}


@endpoint
async def compute(call: Call) -> Answer:
    """The strength from readings, and kept with the bottle when `keep` is said."""

    def work(store: Store, bank: Bank) -> Answer:
        text = call.text()
        found = assay(call.text("method"), read_readings(text), bank)
        if not isinstance(found, Assay):
            return refused(found, text)
        if call.body.get("keep") is True:
            now = datetime.now(UTC).isoformat(timespec="seconds")
            key = call.text("key") or uuid.uuid4().hex
            kept = keep(store, found, call.text("name"), (key, now, call.text("who")), bank)
            if isinstance(kept, Problem):
                return kept
        return {
            "title": found.title, "sentences": list(result_sentences(found)),
            "budget": plain(budget_rows(found)), "advice": list(found.advice),
            "problems": [plain(problem_row(p, text.splitlines())) for p in found.problems],
            "kept": call.body.get("keep") is True,
        }  # fmt: skip

    return await with_shelf(call, work)


def keep(
    store: Store, found: Assay, name: str, said: tuple[str, str, str], bank: Bank
) -> Problem | None:
    """Keep a result with its bottle; `said` is key, time and who."""
    level = bottles.find_level(store, name)
    if isinstance(level, Problem):
        return level
    record = fits(found, level.bottle, bank) or record_of(found, *said)
    kept = record if isinstance(record, Problem) else bottles.record_assay(store, name, record)
    return kept if isinstance(kept, Problem) else None


@endpoint
async def bring_in(call: Call) -> Answer:
    """Add the bottles of a CSV text, all or none."""

    def work(store: Store, bank: Bank) -> Answer:
        text = call.text()
        done = import_csv(store, text, bank)
        if done.problems:
            return refused(done.problems, text)
        return {"added": [b.name for b in done.added], "alike": list(done.alike)}

    return await with_shelf(call, work)


@endpoint
async def bring_out(call: Call) -> Answer:
    """The shelf as a CSV file."""

    def work(store: Store, bank: Bank) -> Answer:
        del bank
        name = {"content-disposition": 'attachment; filename="shelf.csv"'}
        return Response(export_csv(store), media_type="text/csv; charset=utf-8", headers=name)

    return await with_shelf(call, work)


@endpoint
async def law(call: Call) -> Answer:
    """Say whose law holds for this shelf."""

    def work(store: Store, bank: Bank) -> Answer:
        del bank
        place = set_place(store, call.text("place"))
        return place if isinstance(place, Problem) else {"place": place}

    return await with_shelf(call, work)


def part() -> Part:
    """The part for the header."""
    posts = {"one": one, "add": add, "change": change, "draw": draw, "stock": stock,
             "form": assay_form, "takes": takes, "run": run, "assay": compute,
             "import": bring_in, "law": law}  # fmt: skip
    routes = (Route(f"/api/shelf/{name}", work, methods=["POST"]) for name, work in posts.items())
    return Part(
        "Shelf",
        "/shelf",
        (
            Route("/shelf", shelf_page),
            Route("/api/shelf", shelf),
            Route("/api/shelf/export", bring_out),
            *routes,
            *shelf_safety.routes(),
        ),
    )
