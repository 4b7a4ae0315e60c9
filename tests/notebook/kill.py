"""Kill a writer with SIGKILL at a random moment, many times, and count what it had been promised.

A child process records readings and says so through a pipe only after the notebook acknowledged
them; the parent kills it, opens the store anew and looks. This shows what a dying process loses;
a dying disk or a power cut is SQLite's `synchronous=FULL`, which is set, not tested here.
"""

from __future__ import annotations

import os
import random
import signal
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from firstcrop.notebook.book import append, find_run, verify
from firstcrop.store.engine import Store, open_store
from notebook.samples import reading, started


@dataclass(frozen=True, slots=True)
class Tally:
    kills: int
    acknowledged: int
    lost: int
    recorded: int
    broken: int


def opened(url: str) -> Store:
    store = open_store(url)
    assert isinstance(store, Store), store
    return store


def killed_many_times(url: str, kills: int, seed: int) -> Tally:
    """Counts over `kills` writers, each killed up to 60 ms after its first reading is kept."""
    chance = random.Random(seed)
    run = started(opened(url))
    acknowledged: set[str] = set()
    broken = 0
    for turn in range(kills):
        acknowledged |= _one(url, run.id, turn, chance.uniform(0.0, 0.06))
        broken += verify(opened(url), run.id) is not None
    found = find_run(opened(url), run.id)
    assert isinstance(found, tuple)
    there = {e.reading.key for e in found[1]}
    return Tally(kills, len(acknowledged), len(acknowledged - there), len(there), broken)


def _one(url: str, run_id: str, turn: int, wait: float) -> set[str]:
    out, into = os.pipe()
    child = os.fork()
    if child == 0:
        _write_on(url, run_id, turn, into)
    os.close(into)
    with os.fdopen(out) as said:
        first = said.readline()
        time.sleep(wait)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        lines = (first + said.read()).split("\n")
    return {line for line in lines[:-1] if line}  # the last may be cut short


def _write_on(url: str, run_id: str, turn: int, into: int) -> None:
    try:
        store = opened(url)
        for n in range(1_000_000):
            receipts = append(store, run_id, [reading(f"{turn}-{n}", 300.0 + n)])
            assert isinstance(receipts, tuple), receipts
            os.write(into, f"{receipts[0].key}\n".encode())
    finally:
        os._exit(1)


if __name__ == "__main__":
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    with tempfile.TemporaryDirectory() as folder:
        print(killed_many_times(f"sqlite:///{Path(folder) / 'kill.db'}", kills, seed=1))
