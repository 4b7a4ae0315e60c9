"""Density to strength: the strength at which the liquor has the measured density."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from firstcrop.bank.bank import Bank
from firstcrop.bank.bulk import Solute
from firstcrop.bank.decompose import decompose
from firstcrop.bank.lookup import substance_named
from firstcrop.bank.records import Substance
from firstcrop.bank.tables import Row, read_table
from firstcrop.chem.formula import parse_formula
from firstcrop.chem.weights import molar_mass
from firstcrop.forecast.assemble import assemble_without_solids
from firstcrop.liquor.solve import equilibrate
from firstcrop.liquor.system import System
from firstcrop.problems import Problem
from firstcrop.quantity.records import Basis
from firstcrop.shelf.assay_basis import Recipe, wanted
from firstcrop.shelf.assay_book import Book, Point
from firstcrop.shelf.assay_records import Method
from firstcrop.shelf.gum import Input, Shape

STEPS = 80  # of the scan for strengths of one density
CLOSED = 1e9  # Pa: nothing leaves while the density is compared
_WATER = 18.01528e-3  # kg/mol, only to count out the water of the mixture


@dataclass(frozen=True, slots=True)
class Curve:
    """Density against mass fraction of one substance in water, up to where data end."""

    system: System
    substance: Substance
    top: float  # kg/kg
    temperatures: tuple[float, float]  # K, of the data
    doubt: tuple[float, float]  # relative standard uncertainty of its densities, rows behind it

    def density(self, fraction: float, temperature: float) -> float:
        """kg/m3 at a mass fraction and K; NaN where the liquor has no solution."""
        amounts = np.zeros(len(self.system.components))
        amounts[0] = (1.0 - fraction) / _WATER
        for key, count in self.substance.components:
            place = self.system.components.index(key)
            amounts[place] += count * fraction / self.substance.molar_mass
        state = equilibrate(self.system, amounts, temperature, CLOSED)
        return state.mass / state.volume if state.ok else float("nan")


def density(book: Book, method: Method) -> Recipe | None:
    """% w/w (or % w/v, g/L, mol/L) of one substance in water from density and temperature."""
    name, seen = book.readings.words("substance"), book.need("density")
    book.need("substance")
    target = wanted(book, Basis.WW)
    curve = density_curve(book.bank, name) if name else None
    if isinstance(curve, Problem):
        book.problems.append(curve)
    if seen is None or target is None or curve is None or isinstance(curve, Problem):
        return None
    read = book.term(seen)
    book.temperature()
    label = "difference of the densities used from a published table"
    doubt, freedom = curve.doubt
    book.add(Input("density table", 1.0, doubt, "1", Shape.NORMAL, freedom, label, "crc_solutions"))
    book.sources.setdefault("crc_solutions")
    at = {i.name: i.value for i in book.inputs}
    span = _span(book, curve, float(read(at).mean()), at["temperature"], name)
    if span is None:
        return None

    def fraction(x: Point) -> np.ndarray:
        t, scale = x["temperature"], x["density table"]
        return np.array([solve(curve, float(d) / scale, t, span) for d in read(x)])

    def result(x: Point) -> np.ndarray:
        w = fraction(x)
        if target.basis is Basis.WW:
            return w
        if target.basis is Basis.MOLALITY:
            return np.asarray(w / (1.0 - w) / curve.substance.molar_mass)
        mass = w * read(x)
        return mass / curve.substance.molar_mass if target.basis is Basis.MOLARITY else mass

    low, high = curve.temperatures
    if not low - 0.5 <= at["temperature"] <= high + 0.5:
        message = f"The densities are for {low - 273.15:.0f} to {high - 273.15:.0f} °C."
        book.warn("range", message, book.readings.rows.get("temperature"))
    says = f"Taken as {name} and water alone; anything else dissolved counts as {name}."
    return Recipe(name, target, result, (says,))


def density_curve(bank: Bank, name: str) -> Curve | Problem:
    """The curve of a substance of the bank. Code: assay.density."""
    found = substance_named(bank, name)
    solute = _solute(bank, found) if found else None
    if found is None or solute is None:
        message = f"The bank has no densities of solutions of '{name}'."
        return Problem("assay.density", message, (), "Titrate it.")
    tops = [p.mass_fraction for p in solute.density_points]
    kelvin = [p.temperature for p in solute.density_points]
    if solute.density:
        tops.append(solute.density.mass_fraction[1])
        kelvin.extend(solute.density.temperature)
    read = parse_formula(solute.key)
    mass = molar_mass(read, bank.weights) if not isinstance(read, Problem) else read
    share = found.molar_mass / mass[0] if not isinstance(mass, Problem) else 1.0
    system = assemble_without_solids(bank, frozenset(k for k, _ in found.components)).system
    top, span = min(max(tops) * share, 0.998), (min(kelvin), max(kelvin))
    return Curve(system, found, top, span, _doubt(solute.key))


def _doubt(solute: str) -> tuple[float, float]:
    """Relative standard uncertainty of the densities of a solute, and how many published
    densities it is known from (`density_checks.tsv`)."""
    found = {
        row.text("solute"): (float(row.text("difference")), float(row.text("rows")))
        for row in _checks()
    }
    return found.get(solute, found["any"])


@cache
def _checks() -> tuple[Row, ...]:
    return read_table("density_checks")


def solve(curve: Curve, wanted_density: float, temperature: float, span: tuple[float, float]
          ) -> float:  # fmt: skip
    """Mass fraction within `span` at which the density is the wanted one; beyond its ends by
    the slope there, so that a derivative has both sides."""
    low, high = span
    at = [curve.density(w, temperature) - wanted_density for w in span]
    if at[0] * at[1] > 0.0:
        return float(low - at[0] * (high - low) / (at[1] - at[0]))
    from scipy.optimize import brentq  # noqa: PLC0415 - slow to load

    return float(
        brentq(lambda w: curve.density(w, temperature) - wanted_density, low, high, xtol=1e-9)
    )


def _span(book: Book, curve: Curve, wanted_density: float, temperature: float, name: str
          ) -> tuple[float, float] | None:  # fmt: skip
    """Two strengths around the only one with that density; None with a Problem."""
    grid = np.linspace(0.0, curve.top, STEPS + 1)
    gaps = np.array([curve.density(w, temperature) for w in grid]) - wanted_density
    crossed = [i for i in range(STEPS) if gaps[i] * gaps[i + 1] <= 0.0 and gaps[i + 1] != 0.0]
    row = book.readings.rows.get("density")
    if not crossed:
        low, high = np.nanmin(gaps) + wanted_density, np.nanmax(gaps) + wanted_density
        message = (
            f"No strength of {name} has that density: up to {100 * curve.top:.0f} % w/w it lies "
            f"between {low / 1e3:.4f} and {high / 1e3:.4f} g/mL at {temperature - 273.15:.1f} °C."
        )
        book.fail("impossible", message, row, "Check the unit, the temperature, the substance.")
        return None
    if len(crossed) > 1:
        both = " and ".join(f"{100 * grid[i]:.0f}" for i in crossed)
        message = f"Two strengths of {name} have that density, near {both} % w/w."
        book.fail("ambiguous", message, row, "Titrate it, or dilute it and measure again.")
        return None
    at = crossed[0]
    return float(grid[max(at - 1, 0)]), float(grid[min(at + 2, STEPS)])


def _solute(bank: Bank, substance: Substance) -> Solute | None:
    """The binary solution of the same solute, its crystal water apart."""
    own = _dry(substance.components)
    for solute in bank.bulk.values():
        parts = decompose(bank, solute.key)
        has = solute.density is not None or solute.density_points
        if has and not isinstance(parts, Problem) and _dry(parts) == own:
            return solute
    return None


def _dry(parts: tuple[tuple[str, float], ...]) -> dict[str, float]:
    return {key: round(count, 9) for key, count in parts if key != "H2O"}
