"""How long one equilibrium takes: cold, warm, and beside a general speciation library.

Run `python bench/solve.py`. Medians over many runs on this machine, all in one process. The
library (the `phreeqc` package, USGS PHREEQC 3) is given the same species, constants, Pitzer
parameters and mixture; its time is for one run of an input text already parsed once, the
shortest road its interface offers.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

try:
    import phreeqc
except ImportError:
    phreeqc = None

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

import sample_liquors as samples
import speciation_library as library
from firstcrop.liquor.equilibrium import solve
from firstcrop.liquor.pack import pack
from firstcrop.liquor.solve import ATMOSPHERE, equilibrate, equilibrate_heat

IONS = ("Na+", "K+", "Ca+2", "Cu+2", "SO4-2", "CO3-2", "NO3-", "CH3COO-")
MIXTURE = {"NaCl": 1.0, "KCl": 0.5, "CuSO4": 0.05, "KNit": 0.5, "NaAce": 0.3, "HAce": 0.3}
SALTS = {
    "NaCl": {"Na+": 1, "Cl-": 1},
    "KCl": {"K+": 1, "Cl-": 1},
    "CuSO4": {"Cu+2": 1, "SO4-2": 1},
    "KNit": {"K+": 1, "NO3-": 1},
    "NaAce": {"Na+": 1, "CH3COO-": 1},
    "HAce": {"H+": 1, "CH3COO-": 1},
}


def median_time(run: Callable[[int], object], count: int) -> float:
    """Median of `count` timings, microseconds."""
    times = []
    for n in range(count):
        start = time.perf_counter()
        run(n)
        times.append(1e6 * (time.perf_counter() - start))
    return statistics.median(times)


def row(name: str, value: float, unit: str = "µs") -> None:
    print(f"{name:58s} {value:10.1f} {unit}")


def twelve_components() -> None:
    """Twelve components, eighteen species, nine solids; nudged by a kelvin or by a millimole."""
    system = samples.sample(*IONS, "NH4+", solids=tuple(samples.SOLIDS)[:9])
    moles = samples.amounts(
        system, Na=2.0, K=1.0, Cl=1.0, SO4=0.5, CO3=0.3, CH3COO=0.5, NO3=0.5, NH4=0.4, Ca=0.1
    )
    moles[system.components.index("Cu+2")] = 1e-4
    moles[2] += 2e-4
    chem, bulk = pack(system)
    state = equilibrate(system, moles, 298.15)
    other = equilibrate(system, moles, 299.15)
    more = moles.copy()
    more[[system.components.index("Na+"), 2]] += 1e-3
    print(
        f"{len(system.components)} components, {len(system.species)} species, "
        f"{len(system.solids)} solids, {np.count_nonzero(state.solids)} present"
    )
    none = np.empty(0)
    row("cold", median_time(lambda _: equilibrate(system, moles, 298.15), 500))
    row(
        "warm, 1 K away",
        median_time(lambda _: equilibrate(system, moles, 298.15, guess=other), 1000),
    )
    row(
        "warm, 1 mmol away",
        median_time(lambda _: equilibrate(system, more, 298.15, guess=state), 1000),
    )
    row(
        "warm, 1 mmol away, kernel alone",
        median_time(
            lambda _: solve(chem, bulk, 298.15, ATMOSPHERE, more, state.numbers, none, none), 1000
        ),
    )
    row(
        "cold, kernel alone",
        median_time(lambda _: solve(chem, bulk, 298.15, ATMOSPHERE, moles, none, none, none), 500),
    )
    target = equilibrate(system, moles, 305.0).enthalpy
    row(
        "constant enthalpy, 7 K away",
        median_time(lambda _: equilibrate_heat(system, moles, target, guess=state), 300),
    )


def beside_the_library() -> None:
    """The same mixture in both; ours cold, so that neither knows the answer."""
    if phreeqc is None:
        print("the phreeqc package is not installed: no comparison")
        return
    solids = tuple(library.PHASES)
    system = samples.sample(*IONS, solids=solids)
    moles = np.zeros(len(system.components))
    moles[0] = 1.0 / 0.018015268
    for salt, amount in MIXTURE.items():
        for component, count in SALTS[salt].items():
            moles[system.components.index(component)] += count * amount
    engine = phreeqc.Phreeqc()
    engine.LoadDatabaseString(library.database())
    text = library.question(MIXTURE, solids)
    engine.RunString(text)
    found = engine.GetSelectedOutput()["la_H2O"][-1]
    state = equilibrate(system, moles, 298.15)
    gap = abs(state.ln_a_water / np.log(10.0) - found)
    print(f"same mixture in both (log10 of water activity differs by {gap:.1e})")
    theirs = median_time(lambda _: engine.RunString(text), 100)
    cold = median_time(lambda _: equilibrate(system, moles, 298.15), 500)
    warm = median_time(lambda _: equilibrate(system, moles, 298.15, guess=state), 500)
    row("the library", theirs)
    row("ours, cold", cold)
    row("ours, warm", warm)
    row("the library over ours, cold", theirs / cold, "times")
    row("the library over ours, warm", theirs / warm, "times")


if __name__ == "__main__":
    start = time.perf_counter()
    equilibrate(samples.sample(), samples.amounts(samples.sample()), 298.15)
    row("first solve of this process (compiles when not cached)", time.perf_counter() - start, "s")
    twelve_components()
    beside_the_library()
