"""Anchored solids: pure water comes out as the curve says, hydrates change where they should."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.bank.records import Solid
from firstcrop.bank.solids import load_transitions
from firstcrop.forecast.anchor import anchor, heat_of_dissolving
from firstcrop.forecast.anchor_curve import (
    monotone_cubic,
    settle_on_nodes,
    through_points,
    van_t_hoff,
)
from firstcrop.forecast.anchor_points import saturated_amounts, stoichiometry
from firstcrop.forecast.assemble import assemble, assemble_without_solids
from firstcrop.liquor.solve import equilibrate
from firstcrop.liquor.system import Floats, System

CLOSED = 1e9  # Pa
ZERO = 273.15
BANK = load_bank()

# Curves on which the electrolyte model gives two solutions of one saturation: the reason each.
UNSOLVED = {
    "Na2B4O7·5H2O": "borate parameters end at 1 mol/kg, the hot solution has 4",
}


@cache
def _system(solid: Solid) -> System:
    return assemble(BANK, frozenset(key for key, _ in solid.components)).system


def _alone(system: System, key: str) -> System:
    """The same with one solid only: its own curve, metastable parts included."""
    n = system.solids.index(key)
    return replace(
        system,
        solids=(key,),
        solid_nu=system.solid_nu[n : n + 1],
        solid_lnk=system.solid_lnk[n : n + 1],
        solid_h=system.solid_h[n : n + 1],
        solid_cp=system.solid_cp[n : n + 1],
        solid_volume=system.solid_volume[n : n + 1],
        solid_mass=system.solid_mass[n : n + 1],
    )


def _excess(system: System, solid: Solid, value: float, share: float) -> Floats:
    amounts = saturated_amounts(system, solid, value)
    nu = stoichiometry(system, solid)
    k = int(np.argmax(np.abs(nu[2:]))) + 2
    return amounts + nu * share * float(amounts[k] / nu[k])


def _solubility(system: System, solid: Solid, amounts: Floats, crystals: float) -> float:
    """g anhydrous per 100 g water in the liquor left."""
    nu = stoichiometry(system, solid)
    left = amounts - nu * crystals
    nu[0] -= solid.water
    k = int(np.argmax(np.abs(nu[2:]))) + 2
    moles = float(left[k] / nu[k])
    water = (left[0] - moles * nu[0]) * system.component_mass[0]
    return float(100.0 * moles * (nu @ system.component_mass) / water)


@pytest.mark.parametrize("solid", [s for s in BANK.solids.values() if s.curve], ids=lambda s: s.key)
def test_pure_water_solubility_is_the_curve(solid: Solid) -> None:
    alone = _alone(_system(solid), solid.key)
    for point in solid.curve:
        amounts = _excess(alone, solid, point.value, 0.3)
        state = equilibrate(alone, amounts, point.temperature, CLOSED)
        if solid.key in UNSOLVED and not state.ok:
            continue
        assert state.ok, f"{point.temperature - ZERO:.1f} °C: {state.outcome.value}"
        found = _solubility(alone, solid, amounts, float(state.solids[0]))
        assert found == pytest.approx(point.value, rel=1e-3), f"{point.temperature - ZERO:.1f} °C"


def _change(below: str, above: str) -> float:
    """°C where the saturated solution in pure water goes from one hydrate to the other."""
    cold = BANK.solids[below]
    system = _system(cold)
    middle = next(p for p in cold.curve if p.temperature == cold.stable[1])
    amounts = _excess(system, cold, middle.value, 0.25)
    low, high = middle.temperature - 6.0, middle.temperature + 6.0
    for _ in range(12):
        half = 0.5 * (low + high)
        state = equilibrate(system, amounts, half, CLOSED)
        assert state.ok, state.outcome.value
        if state.solids[system.solids.index(below)] > 1e-9:
            low = half
        else:
            high = half
    warmer = equilibrate(system, amounts, high + 0.1, CLOSED)
    assert warmer.solids[system.solids.index(above)] > 0.0
    return 0.5 * (low + high) - ZERO


@pytest.mark.parametrize(
    ("below", "above", "celsius", "within"),
    [  # handbook transition temperatures (Linke; 32.384 °C is a thermometric fixed point)
        ("Na2SO4·10H2O", "Na2SO4", 32.38, 0.5),
        ("Na2CO3·10H2O", "Na2CO3·7H2O", 32.0, 0.5),
        ("Na2CO3·7H2O", "Na2CO3·H2O", 35.4, 0.5),
        ("MgSO4·7H2O", "MgSO4·6H2O", 48.3, 0.5),
        ("ZnSO4·7H2O", "ZnSO4·6H2O", 38.8, 0.7),
        ("FeSO4·7H2O", "FeSO4·4H2O", 56.6, 0.5),
        ("FeSO4·4H2O", "FeSO4·H2O", 64.4, 0.5),
        ("C6H8O7·H2O", "C6H8O7", 35.9, 0.5),
        ("NaCH3COO·3H2O", "NaCH3COO", 58.0, 0.5),
    ],
)
def test_hydrates_change_where_published(
    below: str, above: str, celsius: float, within: float
) -> None:
    assert _change(below, above) == pytest.approx(celsius, abs=within)


def test_glauber_salt_goes_at_32_degrees_even_without_the_shared_point() -> None:
    """The two curves alone, without the row that joins them, cross within 1 K of 32.4 °C."""
    kin = []
    for key in ("Na2SO4·10H2O", "Na2SO4"):
        solid = BANK.solids[key]
        changes = {t.place for t in load_transitions()}
        curve = tuple(p for p in solid.curve if p.place not in changes)
        kin.append(replace(solid, curve=curve, stable=(0.0, 1e9)))
    bare = assemble_without_solids(BANK, frozenset(["Na+", "SO4-2"])).system
    anchored = anchor(bare, kin, tuple(BANK.components.values()))
    system = _system(BANK.solids["Na2SO4"])
    rows = [system.solids.index(s.key) for s in kin]
    table = system.solid_lnk.copy()
    table[rows] = anchored.lnk
    crossing = replace(system, solid_lnk=table)
    amounts = _excess(system, BANK.solids["Na2SO4·10H2O"], 49.7, 0.25)
    held = [
        t
        for t in np.arange(28.0, 38.0, 0.1)
        if equilibrate(crossing, amounts, t + ZERO, CLOSED).solids[rows[0]] > 0.0
    ]
    assert max(held) == pytest.approx(32.38, abs=1.0)


def test_thenardite_in_brine_at_25_degrees() -> None:
    """ln K of Na2SO4 where only Glauber's salt is measured: Harvie, Møller, Weare (Geochim.
    Cosmochim. Acta 48 (1984) 723) give log K -0.288 from ternary solubilities, none of ours."""
    system = _system(BANK.solids["Na2SO4"])
    at = int(np.argmin(np.abs(system.t_grid - 298.15)))
    lnk = system.solid_lnk[system.solids.index("Na2SO4")][at]
    assert lnk / np.log(10.0) == pytest.approx(-0.288, abs=0.05)


@pytest.mark.parametrize(
    ("key", "log_k", "within"),
    [  # Harvie, Møller, Weare 1984, Table 4, at 25 °C; the curves are other people's solubilities
        ("NaCl", 1.570, 0.02),
        ("KCl", 0.900, 0.02),
        ("Na2SO4·10H2O", -1.228, 0.03),
        ("K2SO4", -1.776, 0.03),
        ("MgSO4·7H2O", -1.881, 0.12),  # at 3 mol/kg the fits of MgSO4 part; CRC is 2 % below others
        ("CaSO4·2H2O", -4.581, 0.05),
        ("NaHCO3", -0.403, 0.05),
    ],
)
def test_constants_agree_with_a_fit_to_sea_salts(key: str, log_k: float, within: float) -> None:
    solid = BANK.solids[key]
    system = _system(solid)
    at = int(np.argmin(np.abs(system.t_grid - 298.15)))
    found = system.solid_lnk[system.solids.index(key)][at] / np.log(10.0)
    if key == "NaHCO3":
        found += 10.339  # to HCO3- as they write it: log K of CO3-2 + H+ there
    assert found == pytest.approx(log_k, abs=within)


def test_heat_of_dissolving_from_heats_of_formation() -> None:
    """KNO3: +34.89 kJ/mol at infinite dilution (NBS Tables 1982)."""
    formation = {c.key: c.formation for c in BANK.components.values()}
    heat = heat_of_dissolving(BANK.solids["KNO3"], formation)
    assert heat is not None
    assert heat.value == pytest.approx(34.89e3, abs=150.0)


def test_what_cannot_be_anchored_is_a_problem_and_not_a_number() -> None:
    bare = assemble_without_solids(BANK, frozenset(["Na+"])).system
    blank = replace(BANK.solids["NaCl"], curve=(), log_k=None)
    anchored = anchor(bare, [blank, BANK.solids["NaCl"]], ())
    assert np.isnan(anchored.lnk[0]).all()
    assert np.isfinite(anchored.lnk[1]).all()
    assert [p.code for p in anchored.problems] == ["solid-not-anchored"]


def test_notes_say_where_a_curve_is_extended() -> None:
    bare = assemble_without_solids(BANK, frozenset(["K+", "Al+3", "SO4-2"])).system
    anchored = anchor(bare, [BANK.solids["KAl(SO4)2·12H2O"]], ())
    assert any("from 0 to 90 °C" in note for note in anchored.notes[0])
    assert len(anchored.data[0]) == len(BANK.solids["KAl(SO4)2·12H2O"].curve)


def test_the_table_is_read_back_through_every_point() -> None:
    salt = BANK.solids["NaCl"]
    grid = _system(salt).t_grid
    at = np.array([273.15, 293.15, 305.534, 313.15])
    lnk = np.array([-5.0, -3.2, -2.0, -1.9])
    smooth, sloped = through_points(at, lnk, grid, None)
    table = settle_on_nodes(grid, smooth, at, lnk, np.ones(4, dtype=np.bool_))
    assert sloped
    system = replace(_alone(_system(salt), "NaCl"), solid_lnk=table[None, :])
    water = np.zeros(len(system.components))
    water[0] = 55.5
    water[[system.components.index("Na+"), system.components.index("Cl-")]] = 1e-3
    for t, value in zip(at, lnk, strict=True):
        state = equilibrate(system, water, float(t), CLOSED)
        product = state.ln_activity @ system.solid_nu[0]
        assert product - float(state.saturation[0]) == pytest.approx(value, abs=2e-3)


def test_monotone_cubic_makes_no_hump() -> None:
    x = np.array([0.0, 1.0, 2.0, 3.0, 4.0])
    y = np.array([0.0, 0.0, 1.0, 1.0, 5.0])
    fine = np.linspace(0.0, 4.0, 200)
    value = monotone_cubic(x, y, fine)
    assert np.all(np.diff(value) >= -1e-12)
    assert monotone_cubic(x, y, x) == pytest.approx(y)


def test_van_t_hoff_at_both_ends() -> None:
    """AgCl: log K -9.75 and +65.5 kJ/mol give -8.4 at 70 °C (ten-fold every 45 K)."""
    value = van_t_hoff(-9.75, 65.5e3, np.array([298.15, 343.15])) / np.log(10.0)
    assert value == pytest.approx([-9.75, -8.245], abs=1e-2)


BEYOND_THE_MODEL = {"KOH·2H2O", "KOH·H2O", "Ca(NO3)2·4H2O", "Ca(NO3)2·3H2O", "Ca(NO3)2"} | {
    "KCH3COO·1.5H2O",  # 20 to 60 mol/kg: the activity coefficients are those of the model's edge
    "KCH3COO",
}
HYDRATES = sorted(
    {key for t in load_transitions() for key in (t.below, t.above)} - BEYOND_THE_MODEL
)


@pytest.mark.parametrize("key", HYDRATES)
def test_only_the_stable_hydrate_forms_in_its_range(key: str) -> None:
    solid = BANK.solids[key]
    system = _system(solid)
    low = max(solid.stable[0], solid.curve[0].temperature) + 1.0
    high = min(solid.stable[1], solid.curve[-1].temperature) - 1.0
    for t in np.arange(low, max(high, low + 0.1), 4.0):
        value = np.interp(t, [p.temperature for p in solid.curve], [p.value for p in solid.curve])
        amounts = _excess(system, solid, float(value), 0.15)
        state = equilibrate(system, amounts, float(t), CLOSED)
        assert state.ok, state.outcome.value
        found = [k for k, n in zip(system.solids, state.solids, strict=True) if n > 1e-9]
        assert found == [key], f"{t - ZERO:.1f} °C"
