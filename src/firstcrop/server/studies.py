"""Studies of the sheets that are being run, made in a thread of their own and kept."""

from __future__ import annotations

import asyncio
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import Any

from firstcrop.account.study import Study, study
from firstcrop.bank.bank import load_bank
from firstcrop.problems import Problem
from firstcrop.server.engine import Bottles, no_bottles

KEPT = 4


@dataclass(slots=True, eq=False)
class Studies:
    """One for a server; a study takes seconds, so the last few are kept by their text."""

    thread: ThreadPoolExecutor = field(default_factory=lambda: ThreadPoolExecutor(1))
    kept: OrderedDict[tuple[str, Bottles], Study] = field(default_factory=OrderedDict)
    shelf: Callable[[str], Bottles] = no_bottles  # the bottles a sheet's text names

    def of(self, text: str) -> Study | Problem:
        """The study of a text with the bottles it names. Call it within `run`."""
        bottles = self.shelf(text)
        found = self.kept.get((text, bottles))
        if found is None:
            made = study(text, load_bank(), bottles)
            if isinstance(made, Problem):
                return made
            found = self.kept[text, bottles] = made
            while len(self.kept) > KEPT:
                self.kept.popitem(last=False)
        self.kept.move_to_end((text, bottles))
        return found

    async def run(self, work: Callable[[], Any]) -> Any:
        """Do something with studies in their thread."""
        return await asyncio.get_running_loop().run_in_executor(self.thread, work)

    def close(self) -> None:
        """Stop the thread when it is done."""
        self.thread.shutdown(wait=False, cancel_futures=True)
