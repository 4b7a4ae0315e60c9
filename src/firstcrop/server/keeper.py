"""The folder's database, opened when a page first needs it and then kept open."""

from __future__ import annotations

import threading
from dataclasses import dataclass, field
from pathlib import Path

from firstcrop.problems import Problem
from firstcrop.store.engine import Store, open_store
from firstcrop.store.urls import chosen_url


@dataclass(slots=True, eq=False)
class Keeper:
    """Opens the database of a folder once, whoever asks first; a Problem is tried again."""

    folder: Path
    url: str | None = None  # named on the command line
    lock: threading.Lock = field(default_factory=threading.Lock)
    opened: Store | None = None

    def store(self) -> Store | Problem:
        """The open database. Blocks while it is opened: call it in a thread."""
        with self.lock:
            if self.opened is None:
                found = open_store(chosen_url(self.folder, self.url))
                if isinstance(found, Problem):
                    return found
                self.opened = found
            return self.opened

    def close(self) -> None:
        """Give up its connections."""
        with self.lock:
            if self.opened is not None:
                self.opened.close()
                self.opened = None
