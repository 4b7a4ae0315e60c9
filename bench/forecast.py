"""How long a whole forecast takes beside one warm equilibrium solve, all in one run.

Prints medians, and each as a multiple of the warm solve: machines differ, ratios less so.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

from firstcrop.bank.bank import load_bank
from firstcrop.forecast.assemble import assemble, assemble_without_solids
from firstcrop.forecast.memory import Memory
from firstcrop.forecast.pipeline import forecast
from firstcrop.liquor.solve import equilibrate

SHEET = Path(__file__).parent.parent / "sheets" / "hardening-alum.md"
LAST_EDIT = ("to 5 °C in an ice bath over 60 min.\n13.", "to 6 °C in an ice bath over 60 min.\n13.")


def median(call: Callable[[], object], times: int) -> float:
    call()
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        call()
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def edited(text: str, memory: Memory) -> Callable[[], object]:
    texts = [text, text.replace(*LAST_EDIT)]

    def call() -> object:
        texts.reverse()
        return forecast(texts[0], bank, with_bands=False, memory=memory)

    return call


def assembled_afresh() -> object:
    assemble_without_solids.cache_clear()
    return assemble_without_solids(bank, frozenset({"K+", "Na+", "NH4+", "SO4-2", "NO3-"}))


bank = load_bank()
system = assemble(bank, ["K+", "Al+3", "SO4-2"]).system
amounts = [0.0] * len(system.components)
for key, moles in (("H2O", 55.5), ("K+", 0.3), ("Al+3", 0.3), ("SO4-2", 0.6)):
    amounts[system.components.index(key)] = moles
state = equilibrate(system, amounts, 298.15)
sheet = SHEET.read_text(encoding="utf-8")
rows = (
    ("one equilibrium, warm", lambda: equilibrate(system, amounts, 298.2, guess=state), 200),
    ("bulk tables and activity of five ions, afresh", assembled_afresh, 5),
    ("forecast of the alum sheet, no bands", lambda: forecast(sheet, bank, with_bands=False), 5),
    ("forecast of the alum sheet, with bands", lambda: forecast(sheet, bank), 2),
    ("edit of its last cooling, no bands", edited(sheet, Memory()), 5),
    (
        "cold start of the command to its help",
        lambda: subprocess.run(
            [sys.executable, "-m", "firstcrop", "--help"], check=True, capture_output=True
        ),
        3,
    ),
)
unit = 0.0
for label, call, times in rows:
    taken = median(call, times)
    unit = unit or taken
    print(f"{label:<48} {1e3 * taken:10.3f} ms  {taken / unit:10.0f} x")
