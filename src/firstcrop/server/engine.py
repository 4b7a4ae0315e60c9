"""Forecasts for the page: at once without bands, from the first step that changed; the bands in a
process of their own, which is stopped when the text has moved on."""

from __future__ import annotations

import asyncio
import multiprocessing
import os
from collections import OrderedDict
from collections.abc import Awaitable, Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from typing import Any

from firstcrop.bank.bank import Bank, load_bank
from firstcrop.forecast.memory import Memory
from firstcrop.forecast.records import Bottle, Forecast
from firstcrop.run import forecast_sheet

KEPT = 6  # forecasts kept for the panels
PAGES = 4  # pages whose last run is kept
PATIENCE = 0.05  # s between looks at a running process
Gone = Callable[[], Awaitable[bool]]
Bottles = tuple[Bottle, ...]


def no_bottles(text: str) -> Bottles:
    """A shelf with nothing on it."""
    del text
    return ()


@dataclass(slots=True)
class Engine:
    """One for a server. Forecasts run one after another in one thread."""

    thread: ThreadPoolExecutor = field(default_factory=lambda: ThreadPoolExecutor(1))
    told: OrderedDict[tuple[str, bool, Bottles], Forecast] = field(default_factory=OrderedDict)
    memories: OrderedDict[str, Memory] = field(default_factory=OrderedDict)
    maker: Any = field(default_factory=lambda: process_context())  # noqa: PLW0108  (defined below)
    running: dict[Any, str] = field(default_factory=dict)  # processes and who asked for them
    shelf: Callable[[str], Bottles] = no_bottles  # the bottles a sheet's text names

    async def run(self, work: Callable[[], Any]) -> Any:
        """Do something with forecasts in their thread."""
        return await asyncio.get_running_loop().run_in_executor(self.thread, work)

    def bank(self) -> Bank:
        """The bank as shipped."""
        return load_bank()

    def quick(self, text: str, page: str = "") -> Forecast:
        """Without bands. `page` names who asks: each keeps its own last run to go on from."""
        bottles = self.shelf(text)
        known = self.told.get((text, False, bottles))
        if known is not None:
            return known
        memory = self.memories.setdefault(page, Memory())
        self.memories.move_to_end(page)
        while len(self.memories) > PAGES:
            self.memories.popitem(last=False)
        try:
            found = forecast_sheet(text, load_bank(), False, memory, bottles)
        except BaseException:
            self.memories.pop(page, None)  # it may be half written
            raise
        return self._keep((text, False, bottles), found)

    def best(self, text: str) -> Forecast:
        """The fullest forecast at hand: with bands when they have been computed."""
        return self.told.get((text, True, self.shelf(text))) or self.quick(text, "panel")

    def _keep(self, key: tuple[str, bool, Bottles], forecast: Forecast) -> Forecast:
        self.told[key] = forecast
        while len(self.told) > KEPT:
            self.told.popitem(last=False)
        return forecast

    async def with_bands(self, text: str, gone: Gone, page: str = "") -> Forecast | None:
        """With bands; None when whoever asked has gone or moved on, or nothing came of it."""
        bottles = await self.run(lambda: self.shelf(text))
        known = self.told.get((text, True, bottles))
        if known is not None:
            return known
        ours, theirs = self.maker.Pipe(duplex=False)
        process = self.maker.Process(
            target=bands_process, args=(theirs, text, bottles), daemon=True
        )
        await asyncio.to_thread(process.start)
        theirs.close()
        self.running[process] = page
        try:
            found = await _received(ours, process, gone)
        finally:
            self.running.pop(process, None)
            ours.close()
            if process.is_alive():
                process.kill()
            await asyncio.to_thread(process.join, 2.0)
        return self._keep((text, True, bottles), found) if found is not None else None

    def moved_on(self, page: str) -> None:
        """Stop the bands of a text this page no longer shows: its next forecast needs the time."""
        for process, asker in tuple(self.running.items()):
            if asker == page:
                process.kill()

    def close(self) -> None:
        """Stop what still runs."""
        for process in tuple(self.running):
            process.kill()
        self.thread.shutdown(wait=False, cancel_futures=True)


async def _received(pipe: Connection, process: Any, gone: Gone) -> Forecast | None:
    while not pipe.poll():
        if await gone() or (not process.is_alive() and not pipe.poll()):
            return None
        await asyncio.sleep(PATIENCE)
    try:
        found: Forecast | None = await asyncio.to_thread(pipe.recv)
    except EOFError:
        return None
    return found


def process_context() -> Any:
    """A way to start processes that have everything loaded already, where the system has one."""
    if "forkserver" not in multiprocessing.get_all_start_methods():
        return multiprocessing.get_context("spawn")
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["firstcrop.server.warm"])
    return context


def bands_process(pipe: Connection, text: str, bottles: Bottles) -> None:
    """The work of one such process, which gives way to the forecasts one waits for."""
    if hasattr(os, "nice"):
        os.nice(5)
    pipe.send(forecast_sheet(text, load_bank(), True, bottles=bottles))
    pipe.close()
