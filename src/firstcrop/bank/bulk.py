"""What binary solutions weigh, hold and give off: density, heat capacity, heat of dilution."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from firstcrop.bank.records import Datum, Obtained, Stoichiometry
from firstcrop.bank.tables import Row, read_table
from firstcrop.problems import Place

ZERO_CELSIUS = 273.15
_KILO = 1e3  # kJ to J
_Rows = tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class FittedLaw:
    """A solute's constants in a law, and the range they were fitted to."""

    constants: tuple[float, ...]
    temperature: tuple[float, float]  # K
    mass_fraction: tuple[float, float]  # of solute
    obtained: Obtained
    source: str
    place: Place = field(default=Place(0), compare=False)


@dataclass(frozen=True, slots=True)
class SolutionPoint:
    """A property of a solution: temperature K, mass fraction of solute, value in SI."""

    temperature: float
    mass_fraction: float
    value: float
    obtained: Obtained
    source: str
    place: Place = field(default=Place(0), compare=False)


@dataclass(frozen=True, slots=True)
class Dilution:
    """ΔfH of a solute, J/mol, in `water` mol of water a mole of solute; 0: the pure liquid."""

    water: float
    formation: Datum


@dataclass(frozen=True, eq=False)
class Solute:
    """A binary solution's data. `ions` are one cation and one anion, or one neutral."""

    key: str
    ions: Stoichiometry
    density: FittedLaw | None = None
    density_points: tuple[SolutionPoint, ...] = ()  # kg/m3
    heat_capacity: FittedLaw | None = None
    heat_capacity_points: tuple[SolutionPoint, ...] = ()  # J/(kg K) of solution
    dilution: tuple[Dilution, ...] = ()  # most concentrated first


def load_bulk() -> Mapping[tuple[str, ...], Solute]:
    """Solutes by their ions: (cation, anion) or (neutral,)."""
    tables = {name: read_table(name) for name in _TABLES}
    density = _laws(tables["bulk_density"], "c", 5)
    capacity = _laws(tables["bulk_heat_capacity"], "a", 6)
    density_points = _points(tables["bulk_density_points"], "density")
    capacity_points = _points(tables["bulk_heat_capacity_points"], "heat_capacity")
    dilution = _dilution(tables["bulk_dilution"])
    found: dict[tuple[str, ...], Solute] = {}
    for key, ions in _solutes(tables):
        found[tuple(name for name, _ in ions)] = Solute(
            key,
            ions,
            density.get(key),
            density_points.get(key, ()),
            capacity.get(key),
            capacity_points.get(key, ()),
            dilution.get(key, ()),
        )
    return MappingProxyType(found)


_TABLES = (
    "bulk_density",
    "bulk_density_points",
    "bulk_heat_capacity",
    "bulk_heat_capacity_points",
    "bulk_dilution",
)


def _solutes(tables: Mapping[str, _Rows]) -> Iterable[tuple[str, Stoichiometry]]:
    seen: dict[str, str] = {}
    found: dict[str, Stoichiometry] = {}
    for rows in tables.values():
        for row in rows:
            ions = row.text("ions")
            if seen.setdefault(row.text("solute"), ions) != ions:
                raise ValueError(f"{row.place.file}:{row.place.line}: other ions than elsewhere")
            if len(seen) > len(found):
                found[row.text("solute")] = row.stoichiometry("ions")
    return found.items()


def _laws(rows: _Rows, letter: str, size: int) -> dict[str, FittedLaw]:
    first = 0 if letter == "c" else 1
    return {
        row.text("solute"): FittedLaw(
            tuple(_number(row, f"{letter}{n}") for n in range(first, first + size)),
            (_number(row, "t_min") + ZERO_CELSIUS, _number(row, "t_max") + ZERO_CELSIUS),
            (row.number("w_min") or 0.0, _number(row, "w_max")),
            Obtained(row.text("obtained")),
            row.text("source"),
            row.place,
        )
        for row in rows
    }


def _points(rows: _Rows, heading: str) -> dict[str, tuple[SolutionPoint, ...]]:
    found: defaultdict[str, list[SolutionPoint]] = defaultdict(list)
    for row in rows:
        found[row.text("solute")].append(
            SolutionPoint(
                _number(row, "temperature") + ZERO_CELSIUS,
                _number(row, "w"),
                _number(row, heading),
                Obtained(row.text("obtained")),
                row.text("source"),
                row.place,
            )
        )
    return {key: tuple(points) for key, points in found.items()}


def _dilution(rows: _Rows) -> dict[str, tuple[Dilution, ...]]:
    found: defaultdict[str, list[Dilution]] = defaultdict(list)
    for row in rows:
        key, water = row.text("solute"), _number(row, "water")
        formation = row.datum("formation", "J/mol", _KILO, f"ΔfH of {key} in {water:g} H2O")
        if formation is None:
            raise ValueError(f"{row.place.file}:{row.place.line}: no formation")
        found[key].append(Dilution(water, formation))
    return {key: tuple(sorted(found[key], key=lambda d: d.water)) for key in found}


def _number(row: Row, heading: str) -> float:
    value = row.number(heading)
    if value is None:
        raise ValueError(f"{row.place.file}:{row.place.line}: no {heading}")
    return value
