"""Densities, heats of solution and heat capacities of one solute in water against tables."""

from __future__ import annotations

from pathlib import Path
from statistics import median

import numpy as np
import pytest

from firstcrop.bank.bank import load_bank
from published.binary import at_fraction, binary, in_water, water_enthalpy

HERE = Path(__file__).parent
ROOM, STANDARD = 293.15, 298.15

# percent by which single rows may be off, and why; the median of all is held to 0.1 % (DESIGN 8)
USUAL_DENSITY = 0.3
LOOSER_DENSITY = {
    "C2H5OH": (0.4, "the law's fit"),
    "CH3COOH": (0.3, "the law's fit"),
    "FeCl3": (3.0, "hydrolysis makes ions whose volumes are sums; the law is fitted to 0-35 °C"),
    "HCOOH": (0.4, "the law's fit"),
    "H2C2O4": (0.45, "its ionised part counts with the volumes of ions"),
    "H3PO4": (0.6, "its ionised part counts with the volumes of ions"),
    "K2CO3": (0.5, "the law's fit"),
    "KHCO3": (0.4, "some of it becomes carbonate and carbon dioxide"),
    "KOH": (0.75, "the law and the handbook differ by that"),
    "MnSO4": (0.5, "the law is fitted from other data"),
    "Na3PO4": (0.65, "mostly hydrolysed"),
    "SrCl2": (1.2, "the last row lies beyond the law"),
}


def rows(name: str) -> list[dict[str, str]]:
    lines = (HERE / f"{name}.tsv").read_text(encoding="utf-8").splitlines()
    lines = [line for line in lines if line and not line.startswith("#")]
    head = lines[0].split("\t")
    return [dict(zip(head, line.split("\t"), strict=True)) for line in lines[1:]]


def density_error(row: dict[str, str]) -> float:
    state = at_fraction(row["solute"], float(row["percent"]) / 100.0, ROOM)
    assert state.ok
    return 100.0 * (state.mass / state.volume / 1e3 / float(row["density"]) - 1.0)


@pytest.mark.parametrize("solute", sorted({r["solute"] for r in rows("density_20c")}))
def test_density_at_20_degrees(solute):
    allowed = LOOSER_DENSITY.get(solute, (USUAL_DENSITY, ""))[0]
    for row in rows("density_20c"):
        if row["solute"] == solute:
            assert abs(density_error(row)) < allowed, row


def test_density_at_20_degrees_in_the_median():
    assert median(abs(density_error(r)) for r in rows("density_20c")) < 0.1


@pytest.mark.parametrize(
    "row", rows("heat_of_solution"), ids=lambda r: f"{r['solute']} in {r['water']}"
)
def test_heat_of_solution(row):
    """To 0.05 kJ/mol: the tables round each of the two figures to 0.001-0.01."""
    water = float(row["water"])
    solution = in_water(row["solute"], water, STANDARD).enthalpy
    solution -= water * water_enthalpy(row["solute"], STANDARD)
    heat = solution - float(row["pure"]) * 1e3
    small = 0.05e3 + 2e-3 * abs(heat)
    assert heat == pytest.approx(float(row["heat"]) * 1e3, abs=small)


def test_the_heats_of_solution_start_from_the_substances_of_the_bank():
    """The same formation enthalpies (within what NBS Tables leave open) on both sides."""
    substances = load_bank().substances
    for row in rows("heat_of_solution"):
        found = substances.get(row["substance"])
        if found is not None and found.formation is not None:
            assert found.formation.value == pytest.approx(float(row["pure"]) * 1e3, abs=300.0), row


@pytest.mark.parametrize(
    "row", rows("heat_capacity"), ids=lambda r: f"{r['solute']} {r['percent']} %"
)
def test_heat_capacity(row):
    low, high = (
        at_fraction(row["solute"], float(row["percent"]) / 100.0, ROOM + d).enthalpy
        for d in (-1.0, 1.0)
    )
    allowed = {"NaCl": 0.02, "H2SO4": 0.035}.get(row["solute"], 0.015)  # what fits differ by
    assert (high - low) / 2.0 == pytest.approx(float(row["heat_capacity"]) * 4184.0, rel=allowed)


@pytest.mark.parametrize("row", rows("water"), ids=lambda r: f"{r['temperature']} °C")
def test_pure_water(row):
    """Density to 0.01 %, vapour pressure to 0.15 % (a three-constant K), heat capacity to 0.3 %
    (saturation above 100 kPa in the table, 0.1 MPa here; nodes every 5 K)."""
    t = float(row["temperature"]) + 273.15
    system = binary("NaCl").system
    volume = np.interp(t, system.t_grid, system.water_v)
    assert system.component_mass[0] / volume / 1e3 == pytest.approx(float(row["density"]), rel=2e-4)
    rise = np.interp(t + 5.0, system.t_grid, system.water_h)
    rise -= np.interp(t - 5.0, system.t_grid, system.water_h)
    assert rise / 10.0 / system.component_mass[0] / 1e3 == pytest.approx(
        float(row["heat_capacity"]), rel=3e-3
    )
    x = 1.0 / t - 1.0 / STANDARD
    bend = np.log(t / STANDARD) + STANDARD / t - 1.0
    r = 8.314462618
    ln_k = system.gas_k0[0] - system.gas_dh[0] / r * x + system.gas_dcp[0] / r * bend
    assert np.exp(ln_k) * 100.0 == pytest.approx(float(row["pressure"]), rel=2e-3)
