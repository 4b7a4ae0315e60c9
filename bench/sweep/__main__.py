"""A hundred thousand random liquors: how each equilibrium ends, and whether what must hold holds.

`make sweep` (some minutes on two cores), LIQUORS=10000 for fewer. Seeded: the same
liquors every time, each named by its system and number when something fails. Ends with an error
when a solved liquor fails a check.
"""

from __future__ import annotations

import os
import sys
import time
from collections import Counter
from multiprocessing import Pool
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2] / "tests"))

import sample_sweep as sample
from firstcrop.bank.bank import load_bank

LIQUORS = int(os.environ.get("LIQUORS", "100000"))


def part(seed: int) -> sample.Tally:
    return sample.sweep(load_bank(), range(seed, seed + 1))


def main() -> None:
    start = time.perf_counter()
    tally = sample.Tally()
    with Pool(2) as pool:
        for found in pool.imap(part, range(-(-LIQUORS // sample.A_SYSTEM))):
            tally.liquors += found.liquors
            tally.outcomes += found.outcomes
            tally.failed += found.failed
            tally.compared += found.compared
            tally.examples = {**found.examples, **tally.examples}
    print(f"{tally.liquors} liquors in {time.perf_counter() - start:.0f} s")
    for outcome, count in tally.outcomes.most_common():
        print(f"  {outcome:<28}{count:8d}  {100.0 * count / tally.liquors:8.3f} %")
    solved = tally.outcomes["SOLVED"]
    for what in sample.CHECKS:
        asked = tally.compared.get(what, solved)
        print(f"  {what:<28}{asked - tally.failed[what]:8d} of {asked}", end="  ")
        print(f"first: {tally.examples[what]}" if tally.failed[what] else "")
    sys.exit(bool(Counter(tally.failed)))


if __name__ == "__main__":
    main()
