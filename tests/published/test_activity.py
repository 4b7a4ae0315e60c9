"""Mean activity coefficients of single salts in water, and pH of reference buffers, with the
bank's own constants.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.forecast.assemble import assemble_without_solids
from firstcrop.liquor.solve import equilibrate
from firstcrop.liquor.state import State
from firstcrop.liquor.system import System

HERE = Path(__file__).parent
WATER = 1.0 / 0.018015268  # mol in a kilogram
WORST, MEDIAN = 0.05, 0.01  # DESIGN: to 6 mol/kg
PH = 0.02  # DESIGN: 0-50 °C


def rows(name: str) -> list[dict[str, str]]:
    lines = (HERE / f"{name}.tsv").read_text(encoding="utf-8").splitlines()
    lines = [line for line in lines if line and not line.startswith("#")]
    head = lines[0].split("\t")
    return [dict(zip(head, line.split("\t"), strict=True)) for line in lines[1:]]


def solved(contents: dict[str, float], temperature: float) -> tuple[System, State]:
    system = assemble_without_solids(load_bank(), frozenset(contents)).system
    moles = np.zeros(len(system.components))
    moles[0] = WATER
    for key, amount in contents.items():
        moles[system.components.index(key)] += amount
    return system, equilibrate(system, moles, temperature, 1e7)


def gamma_error(row: dict[str, str]) -> float:
    """Relative error of the stoichiometric mean activity coefficient."""
    cations, anions = int(row["cations"]), int(row["anions"])
    molality = float(row["molality"])
    contents = {row["cation"]: cations * molality, row["anion"]: anions * molality}
    system, state = solved(contents, 298.15)
    assert state.ok
    activity = [state.ln_activity[system.components.index(row[k])] for k in ("cation", "anion")]
    ions = cations + anions
    mean = molality * (cations**cations * anions**anions) ** (1.0 / ions)
    found = np.exp((cations * activity[0] + anions * activity[1]) / ions) / mean
    return float(found / float(row["gamma"]) - 1.0)


@pytest.mark.parametrize("salt", sorted({r["salt"] for r in rows("activity")}))
def test_mean_activity_coefficients(salt):
    for row in rows("activity"):
        if row["salt"] == salt and not row["known"]:
            assert abs(gamma_error(row)) < WORST, row


def test_mean_activity_coefficients_in_the_median():
    assert np.median([abs(gamma_error(r)) for r in rows("activity")]) < MEDIAN


def test_misses_are_named_only_while_they_are_misses():
    """A row marked as missed that is now met should lose its mark."""
    for row in rows("activity"):
        if row["known"]:
            assert abs(gamma_error(row)) > 0.4 * WORST, row


@pytest.mark.parametrize("buffer", sorted({r["buffer"] for r in rows("ph_standards")}))
def test_ph_of_reference_buffers(buffer):
    for row in rows("ph_standards"):
        if row["buffer"] != buffer:
            continue
        parts = (part.rsplit(" ", 1) for part in row["contents"].split("; "))
        _, state = solved({k: float(n) for k, n in parts}, 273.15 + float(row["temperature"]))
        assert state.ok
        error = state.ph - float(row["ph"])
        if row["known"]:
            assert abs(error) < 2 * PH, row
        else:
            assert abs(error) < PH, (row, error)
