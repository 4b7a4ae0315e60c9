"""The bench: a run in progress. Readings arrive once, however often they are sent; what cannot be
read as a number is kept as a note, so that nothing is lost."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from firstcrop.account.logger import read_log
from firstcrop.account.watch import watch
from firstcrop.notebook import book
from firstcrop.notebook.records import Kind, Photo, Reading, Run
from firstcrop.problems import Problem
from firstcrop.quantity.read import read_quantity
from firstcrop.quantity.records import Quantity
from firstcrop.server import bench_papers
from firstcrop.server.calls import Answer, Call, Part, endpoint, page, refusal
from firstcrop.store.engine import Store
from firstcrop.views.bench import again_rows, alarm_rows, bench_sheet, entry_rows, lesson_rows
from firstcrop.views.json import problems_json
from firstcrop.views.live import plain

UNITS = MappingProxyType(
    {
        Kind.TEMPERATURE: "K", Kind.PH: "1", Kind.MASS: "kg", Kind.VOLUME: "m3", Kind.CROP: "kg",
        Kind.CORRECTION: "",
    }
)  # fmt: skip
TEXTS = ("key", "at", "who", "text", "reason", "photo")
SI = MappingProxyType({"temperature": "K", "pH": "1", "mass": "kg", "volume": "m3"})
MOST = 500  # readings of one request


async def bench_page(request: Request) -> Response:
    """The page."""
    return page(request, "bench.html")


async def in_store(call: Call, work: Callable[[Store], Answer]) -> Answer:
    """Do something with the database in a thread; its Problem when it cannot be opened."""

    def done() -> Answer:
        store = call.house.keeper.store()
        return store if isinstance(store, Problem) else work(store)

    return await run_in_threadpool(done)


@endpoint
async def runs(call: Call) -> Answer:
    """Every run, the latest first."""

    def work(store: Store) -> Answer:
        return {"runs": [_brief(run) for run in book.runs(store)]}

    return await in_store(call, work)


def _brief(run: Run) -> dict[str, Any]:
    return {
        "id": run.id, "title": run.title, "sheet_name": run.sheet_name, "begun": run.begun,
        "who": run.who, "entries": run.entries, "head": run.head,
    }  # fmt: skip


@endpoint
async def begin(call: Call) -> Answer:
    """Open a run of a text, with its forecast as it is now. The same id opens one run."""
    text, name, who = call.text(), call.text("name"), call.text("who")
    told = await call.house.engine.with_bands(text, call.request.is_disconnected)
    if told is None:
        return Problem("bands.none", "the forecast was not computed; try again")
    if told.refused:
        return Problem("sheet.refused", told.refused)
    if not told.steps:
        hint = "write its steps, or mend what the page remarks on"
        return Problem("sheet.empty", "this sheet has no step to run", hint=hint)
    sheet = bench_sheet(told)
    kept = json.dumps(plain(sheet), ensure_ascii=False)

    def work(store: Store) -> Answer:
        run = book.begin_run(store, sheet.title, name, text, kept, who, call.text("id"))
        return run if isinstance(run, Problem) else _brief(run)

    return await in_store(call, work)


@endpoint
async def run(call: Call) -> Answer:
    """A run: the forecast it began with, and its entries."""

    def work(store: Store) -> Answer:
        found = book.find_run(store, call.request.path_params["id"])
        if isinstance(found, Problem):
            return found
        kept, entries = found
        return _brief(kept) | {
            "sheet": json.loads(kept.forecast),
            "entries": plain(entry_rows(entries)),
        }

    return await in_store(call, work)


@endpoint
async def readings(call: Call) -> Answer:
    """Record readings in the order sent. The answer names what is on the disk, by key."""
    sent = call.body.get("readings")
    if not isinstance(sent, list) or len(sent) > MOST:
        return Problem("request.bad", f"send a list of at most {MOST} readings")
    read = [reading_of(one) for one in sent if isinstance(one, dict)]
    remarks = [p for _, p in read if p]

    def work(store: Store) -> Answer:
        receipts = book.append(store, call.request.path_params["id"], [r for r, _ in read])
        if isinstance(receipts, Problem):
            return receipts
        return {"receipts": plain(receipts), "problems": problems_json(remarks, ())}

    return await in_store(call, work)


def reading_of(sent: dict[str, Any]) -> tuple[Reading, Problem | None]:
    """A reading as sent by a page: `text` is read as a quantity where the kind has a unit. A text
    that cannot be read makes it a note, with the Problem beside it."""
    said = {name: str(sent.get(name) or "") for name in TEXTS}
    kind = next((k for k in Kind if k.value == sent.get("kind")), Kind.NOTE)
    bare = Reading(
        said["key"], kind, said["at"], said["who"], step=_whole(sent.get("step")),
        text=said["text"], corrects=_whole(sent.get("corrects")), reason=said["reason"],
        photo=said["photo"],
    )  # fmt: skip
    if kind not in UNITS:
        return bare, None
    written = bare.text.partition("(")[0].strip()
    found = read_quantity(f"pH {written}" if kind is Kind.PH and _bare(written) else written)
    if isinstance(found, Quantity) and _fits(kind, found):
        return replace(bare, value=found.value, unit=UNITS[kind] or _si(found)), None
    if kind is Kind.CORRECTION:
        return bare, None
    message = f"“{written[:60]}” could not be read as a {kind.value}; kept as a note"
    hint = found.hint if isinstance(found, Problem) else ""
    return replace(bare, kind=Kind.NOTE), Problem("reading.unread", message, hint=hint)


def _bare(written: str) -> bool:
    return not any(c.isalpha() or c in "°%" for c in written)


def _si(quantity: Quantity) -> str:
    return SI.get(quantity.kind.value, "")


def _fits(kind: Kind, quantity: Quantity) -> bool:
    """Whether the quantity is of the kind's dimension; a correction may be of any."""
    unit = _si(quantity)
    return bool(unit) and unit == (UNITS[kind] or unit)


def _whole(value: Any) -> int:
    return value if isinstance(value, int) and 0 <= value < 10_000 else 0


@endpoint
async def logged(call: Call) -> Answer:
    """A logger's CSV: each row becomes a temperature of the step named."""
    who, step, text = call.text("who"), call.number("step", 0, 9999, 0), call.text()
    run_id = call.request.path_params["id"]

    def work(store: Store) -> Answer:
        found = book.find_run(store, run_id)
        if isinstance(found, Problem):
            return found
        rows, problems = read_log(text, call.text("from") or found[0].begun)
        taken = [
            Reading(row.key, Kind.TEMPERATURE, row.at, who, step, row.temperature, "K",
                    f"{row.temperature - 273.15:.2f} °C (logger)")
            for row in rows
        ]  # fmt: skip
        receipts = book.append(store, run_id, taken) if taken else ()
        if isinstance(receipts, Problem):
            return receipts
        return {"taken": len(receipts), "problems": problems_json(problems, text.splitlines())}

    return await in_store(call, work)


@endpoint
async def again(call: Call) -> Answer:
    """What the readings so far say: alarms, inputs they narrowed, the rest of the run from them."""
    found = await in_store(call, lambda s: book.find_run(s, call.request.path_params["id"]))
    if isinstance(found, Problem):
        return found
    run, entries = found
    studies = call.house.studies

    def work() -> Answer:
        studied = studies.of(run.sheet)
        if isinstance(studied, Problem):
            return studied
        watched = watch(studied, entries)
        return {
            "entries": run.entries,
            "alarms": plain(alarm_rows(watched.alarms)),
            "lessons": plain(lesson_rows(watched.learned.lessons)),
            "again": plain(again_rows(watched.learned.numbers)),
        }

    return await studies.run(work)


async def photo(request: Request) -> Response:
    """Keep a picture; its body is the picture itself. Answers its digest."""
    raw = bytearray()
    async for piece in request.stream():
        raw += piece
        if len(raw) > book.LARGEST_PHOTO:
            break
    media = request.headers.get("content-type", "").partition(";")[0]

    def work() -> Photo | Problem:
        store = request.app.state.house.keeper.store()
        return store if isinstance(store, Problem) else book.keep_photo(store, media, bytes(raw))

    kept = await run_in_threadpool(work)
    return refusal(kept) if isinstance(kept, Problem) else JSONResponse({"photo": kept.digest})


async def picture(request: Request) -> Response:
    """A kept picture."""
    store = await run_in_threadpool(request.app.state.house.keeper.store)
    found = store
    if not isinstance(store, Problem):
        found = await run_in_threadpool(book.find_photo, store, request.path_params["digest"])
    if not isinstance(found, Photo):
        return Response("there is no such photo", 404, media_type="text/plain")
    age = {"cache-control": "private, max-age=31536000, immutable"}
    return Response(found.content, media_type=found.media_type, headers=age)


def part() -> Part:
    """The bench in the header."""
    one = "/api/runs/{id:str}"
    return Part(
        "Bench",
        "/bench",
        (
            Route("/bench", bench_page),
            Route("/api/runs", runs, methods=["GET"]),
            Route("/api/runs", begin, methods=["POST"]),
            Route(one, run, methods=["GET"]),
            Route(f"{one}/readings", readings, methods=["POST"]),
            Route(f"{one}/again", again, methods=["GET"]),
            Route(f"{one}/log", logged, methods=["POST"]),
            *bench_papers.routes(),
            Route("/api/photos", photo, methods=["POST"]),
            Route("/api/photos/{digest:str}", picture, methods=["GET"]),
        ),
    )
