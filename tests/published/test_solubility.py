"""Solubilities other sources print, beside what the anchored solids give.

In pure water the forecast is the bank's own curve (that is how solids are anchored), so the rows
of `solubility.tsv` compare two published sources, most of them measured on different days in
different laboratories: 5 % is what such pairs usually agree to, and rows that differ by more say
why. `solubility_mixed.tsv` is the model's own doing: nothing in it was used to make a solid.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from statistics import median

import numpy as np
import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.bank.records import Solid
from firstcrop.forecast.anchor_points import saturated_amounts, stoichiometry
from firstcrop.forecast.assemble import assemble
from firstcrop.liquor.solve import equilibrate
from firstcrop.liquor.state import State
from firstcrop.liquor.system import Floats, System

HERE = Path(__file__).parent
PURE_TOLERANCE = 0.05  # two laboratories
MIXED_TOLERANCE = 0.15  # one point; the median is held to 5 %
CLOSED = 1e9  # Pa: the published mixtures were kept closed
DISSOLVED = {  # component amounts of a mole of what the tables call dissolved
    "NaOH": {"Na+": 1, "H2O": 1, "H+": -1},
    "H3PO4": {"PO4-3": 1, "H+": 3},
    "NaCl": {"Na+": 1, "Cl-": 1},
    "KCl": {"K+": 1, "Cl-": 1},
    "NH4Cl": {"NH4+": 1, "Cl-": 1},
    "NaBr": {"Na+": 1, "Br-": 1},
    "KBr": {"K+": 1, "Br-": 1},
    "Na2SO4": {"Na+": 2, "SO4-2": 1},
    "Na2CO3": {"Na+": 2, "CO3-2": 1},
    "(NH4)2SO4": {"NH4+": 2, "SO4-2": 1},
    "NH4H2PO4": {"NH4+": 1, "H+": 2, "PO4-3": 1},
    "(NH4)2HPO4": {"NH4+": 2, "H+": 1, "PO4-3": 1},
}


def _rows(name: str) -> list[dict[str, str]]:
    lines = (HERE / name).read_text(encoding="utf-8").splitlines()
    lines = [line for line in lines if not line.startswith("#")]
    head = lines[0].split("\t")
    return [
        dict(zip(head, line.split("\t") + [""] * len(head), strict=False)) for line in lines[1:]
    ]


PURE, MIXED = _rows("solubility.tsv"), _rows("solubility_mixed.tsv")


@cache
def _system(components: frozenset[str]) -> System:
    return assemble(load_bank(), components).system


def _only(system: System, state: State, key: str) -> float:
    return float(state.solids[system.solids.index(key)])


def _curve_value(solid: Solid, temperature: float) -> float:
    """g anhydrous per 100 g water at saturation, from a solve with the solid in excess."""
    system = _system(frozenset(key for key, _ in solid.components))
    nu = stoichiometry(system, solid)
    nearest = min(solid.curve, key=lambda p: abs(p.temperature - temperature))
    amounts = saturated_amounts(system, solid, nearest.value)
    largest = int(np.argmax(np.abs(nu[2:]))) + 2
    moles = float(amounts[largest] / nu[largest])
    amounts = amounts + nu * moles * 0.5
    state = equilibrate(system, amounts, temperature, CLOSED)
    assert state.ok, state.outcome.value
    left = amounts - nu * _only(system, state, solid.key)
    bare = nu.copy()
    bare[0] -= solid.water
    dissolved = left[largest] / nu[largest]
    water = (left[0] - dissolved * bare[0]) * system.component_mass[0]
    return float(100.0 * dissolved * (bare @ system.component_mass) / water)


def _pure_error(row: dict[str, str]) -> float:
    solid = load_bank().solids[row["solid"]]
    return _curve_value(solid, float(row["temperature"]) + 273.15) / float(row["value"]) - 1.0


@pytest.mark.parametrize("row", PURE, ids=lambda r: f"{r['solid']} {r['temperature']}")
def test_pure_water_against_another_source(row: dict[str, str]) -> None:
    error = _pure_error(row)
    if row["known"] and abs(error) > PURE_TOLERANCE:
        pytest.xfail(f"{error:+.1%}: {row['known']}")
    assert abs(error) <= PURE_TOLERANCE, f"{error:+.1%}"


def test_median_error_in_pure_water() -> None:
    errors = [abs(_pure_error(row)) for row in PURE]
    assert median(errors) < 0.02


def _liquor(system: System, row: dict[str, str]) -> tuple[Floats, dict[str, float]]:
    """Component amounts with 1 kg of water, and mol/kg of each dissolved salt as printed."""
    percent = {}
    for part in row["dissolved"].split(";"):
        name, value = part.strip().rsplit(" ", 1)
        percent[name] = float(value)
    water = 100.0 - sum(percent.values())
    amounts = np.zeros(len(system.components))
    amounts[0] = 1.0 / system.component_mass[0]
    molality = {}
    for name, value in percent.items():
        unit = np.zeros(len(system.components))
        for key, count in DISSOLVED[name].items():
            unit[system.components.index(key)] += count
        molality[name] = value / water / float(unit @ system.component_mass)
        amounts += molality[name] * unit
    return amounts, molality


def _mixed_errors(row: dict[str, str]) -> list[float]:
    bank = load_bank()
    solids = [bank.solids[key.strip()] for key in row["solids"].split(";")]
    names = [part.strip().rsplit(" ", 1)[0] for part in row["dissolved"].split(";")]
    system = _system(frozenset(key for name in names for key in DISSOLVED[name]))
    amounts, molality = _liquor(system, row)
    for solid in solids:
        amounts = amounts + 0.5 * molality[solid.anhydrous] * stoichiometry(system, solid)
    state = equilibrate(system, amounts, float(row["temperature"]) + 273.15, CLOSED)
    assert state.ok, state.outcome.value
    water, errors = amounts[0], []
    for n, key in enumerate(system.solids):
        water -= state.solids[n] * dict(bank.solids[key].components).get("H2O", 0.0)
    kilograms = water * system.component_mass[0]
    for solid in solids:
        added = 1.5 * molality[solid.anhydrous]
        left = (added - _only(system, state, solid.key)) / kilograms
        errors.append(left / molality[solid.anhydrous] - 1.0)
    return errors


@pytest.mark.parametrize("row", MIXED, ids=lambda r: f"{r['dissolved']} {r['temperature']}")
def test_mixed_liquor(row: dict[str, str]) -> None:
    errors = _mixed_errors(row)
    shown = ", ".join(f"{e:+.1%}" for e in errors)
    worst = max(map(abs, errors))
    if row["known"] and worst > MIXED_TOLERANCE:
        pytest.xfail(f"{shown}: {row['known']}")
    assert worst <= MIXED_TOLERANCE, shown


def test_median_error_in_mixed_liquors() -> None:
    """The goal is 5 %; the rows marked known miss it, and all together say by how much."""
    sound = [abs(e) for row in MIXED if not row["known"] for e in _mixed_errors(row)]
    everything = [abs(e) for row in MIXED for e in _mixed_errors(row)]
    assert median(sound) < 0.05
    assert median(everything) < 0.25
