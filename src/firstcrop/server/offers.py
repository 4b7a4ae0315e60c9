"""The bottles a sheet names, for its live forecast: asked of the database now and then only."""

from __future__ import annotations

import threading
import time
from dataclasses import dataclass, field
from datetime import date

from firstcrop.bank.bank import load_bank
from firstcrop.forecast.records import Bottle
from firstcrop.problems import Problem
from firstcrop.server.keeper import Keeper
from firstcrop.sheet.read import read_sheet
from firstcrop.shelf.sheets import offers
from firstcrop.store.urls import exists

FRESH = 2.0  # s an answer of the database is good for while somebody is typing
Named = tuple[str, ...]


@dataclass(slots=True, eq=False)
class Offers:
    """Remembers what the shelf last offered."""

    keeper: Keeper
    lock: threading.Lock = field(default_factory=threading.Lock)
    last: tuple[float, Named, tuple[Bottle, ...]] = (-FRESH, (), ())

    def of(self, text: str) -> tuple[Bottle, ...]:
        """The bottles of the folder's shelf; none for a sheet that names none, or where there is no
        shelf. Blocks while the database is read: call it in a thread."""
        named = bottles_named(text)
        if not named or not exists(self.keeper.folder, self.keeper.url):
            return ()
        with self.lock:
            then, before, found = self.last
            if before == named and time.monotonic() - then < FRESH:
                return found
            store = self.keeper.store()
            if isinstance(store, Problem):
                return ()
            found = offers(store, load_bank(), date.today(), named)
            self.last = (time.monotonic(), named, found)
            return found


def bottles_named(text: str) -> Named:
    """The bottles the Materials table of a sheet names."""
    if "bottle" not in text.lower() and "shelf" not in text.lower():
        return ()
    found = (m.bottle for m in read_sheet(text).preparation.materials if m.bottle)
    return tuple(dict.fromkeys(found))
