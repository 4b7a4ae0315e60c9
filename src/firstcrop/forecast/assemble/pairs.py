"""Bulk tables of a system: every cation with every anion, every neutral, from binary solutions.

Where a pair was never measured, three that were make it up: (c, a) = (c, a') + (c', a) - (c', a')
per equivalent at the same ionic strength; failing that, the ions' own values.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from firstcrop.bank.bank import Bank
from firstcrop.bank.bulk import Solute
from firstcrop.forecast.assemble.binary import (
    T0,
    Grid,
    Shape,
    heat_content,
    heat_of_dilution,
    volume,
)
from firstcrop.forecast.assemble.matter import Matter, gather
from firstcrop.liquor.system import Floats

REFERENCE_CATIONS = ("Na+", "K+", "NH4+", "H+", "Mg+2")
REFERENCE_ANIONS = ("Cl-", "NO3-", "SO4-2", "OH-")


@dataclass(frozen=True, slots=True, eq=False)
class BulkTables:
    """Arrays as `System` has them; names: cations, then anions, then neutrals."""

    names: tuple[str, ...]
    pair_h: Floats
    pair_v: Floats
    neutral_h: Floats
    neutral_v: Floats
    estimates: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Library:
    """The binary solutions of a bank on one grid; `ions`: every component and species it has."""

    bank: Bank
    grid: Grid
    ions: Matter


@lru_cache(maxsize=4)
def library(bank: Bank, grid: Grid) -> Library:
    """Made once for a bank and grid (both by identity)."""
    return Library(bank, grid, gather(bank, bank.components))


@lru_cache(maxsize=4096)
def tabulated(books: Library, kind: str, ions: tuple[str, ...]) -> Floats | None:
    """[U, T] per equivalent, None when nothing was measured. Kinds: "volume"; "heat", of
    dilution at 298.15 K; "content", heat capacity integrated from there."""
    solute = books.bank.bulk.get(ions)
    if solute is None:
        return None
    shape = _shape(solute, books.ions)
    if kind == "volume":
        return volume(solute, shape, books.grid)
    if kind == "content":
        return heat_content(solute, shape, books.grid)
    heat = heat_of_dilution(solute, shape, books.grid)
    return None if heat is None else np.repeat(heat[:, None], len(books.grid.t), axis=1)


def bulk_tables(books: Library, matter: Matter) -> BulkTables:
    """Tables for the solutes of `matter` that count as themselves."""
    counted = {s.key for s in matter.derived if s.bulk}
    own = [n for n in matter.names if n not in counted]
    cations = [n for n in own if matter.charge[n] > 0]
    anions = [n for n in own if matter.charge[n] < 0]
    neutrals = [n for n in own if matter.charge[n] == 0]
    shape = (len(books.grid.u), len(books.grid.t))
    pair_v = np.zeros((len(cations), len(anions), *shape))
    pair_h = np.zeros_like(pair_v)
    major = {c.key for c in matter.components}
    estimates = []
    for i, c in enumerate(cations):
        for j, a in enumerate(anions):
            pair_v[i, j], pair_h[i, j], guessed = _pair(books, matter, c, a)
            if guessed and c in major and a in major:
                estimates.append(f"{c} with {a}: {guessed}")
    both = [_neutral(books, matter, n) for n in neutrals]
    return BulkTables(
        (*cations, *anions, *neutrals),
        pair_h,
        pair_v,
        np.array([h for _, h in both]).reshape(-1, *shape),
        np.array([v for v, _ in both]).reshape(-1, *shape),
        tuple(estimates),
    )


def _pair(books: Library, matter: Matter, c: str, a: str) -> tuple[Floats, Floats, str]:
    v, how_v = _made_up(books, "volume", c, a)
    h, how_h = _made_up(books, "heat", c, a)
    content, how_c = _made_up(books, "content", c, a)
    zc, za = matter.charge[c], -matter.charge[a]
    if v is None:
        v = np.asarray(matter.volume[c] / zc + matter.volume[a] / za)
    if h is None:
        h = np.asarray(0.0)
    if content is None:
        cp = matter.heat_capacity[c] / zc + matter.heat_capacity[a] / za
        content = cp * (books.grid.t - T0)[None, :]
    notes = (("volume", how_v), ("heat of dilution", how_h), ("heat capacity", how_c))
    return v, h + content, "; ".join(f"{what} {how}" for what, how in notes if how)


@lru_cache(maxsize=4096)
def _made_up(books: Library, kind: str, c: str, a: str) -> tuple[Floats | None, str]:
    found = tabulated(books, kind, (c, a))
    if found is not None:
        return found, ""
    for c2 in REFERENCE_CATIONS:
        for a2 in REFERENCE_ANIONS:
            parts = [tabulated(books, kind, p) for p in ((c, a2), (c2, a), (c2, a2))]
            if all(part is not None for part in parts):
                made = np.array(parts[0]) + np.array(parts[1]) - np.array(parts[2])
                return made, f"made up of {c}/{a2}, {c2}/{a} and {c2}/{a2}"
    return None, "from the ions at infinite dilution"


def _neutral(books: Library, matter: Matter, name: str) -> tuple[Floats, Floats]:
    shape = (len(books.grid.u), len(books.grid.t))
    v = tabulated(books, "volume", (name,))
    h = tabulated(books, "heat", (name,))
    content = tabulated(books, "content", (name,))
    if v is None:
        v = np.full(shape, matter.volume[name])
    if h is None:
        h = np.zeros(shape)
    if content is None:
        content = matter.heat_capacity[name] * (books.grid.t - T0)[None, :]
    return v, h + content


def _shape(solute: Solute, ions: Matter) -> Shape:
    mass = sum(n * ions.mass[k] for k, n in solute.ions)
    formation = sum(n * ions.formation[k] for k, n in solute.ions)
    if len(solute.ions) == 1:
        return Shape(mass, 1.0, 1.0, formation)
    equivalents = sum(0.5 * n * abs(ions.charge[k]) for k, n in solute.ions)
    strength = sum(0.5 * n * ions.charge[k] ** 2 for k, n in solute.ions)
    return Shape(mass, equivalents, strength, formation)
