"""Parameters of the electrolyte model in the bank: single salts, mixing, and what stands in
where nothing was fitted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from firstcrop.bank.records import Obtained
from firstcrop.bank.tables import Row, read_table
from firstcrop.problems import Place

FADE = 75.0  # K over which a slope without published curvature fades to nothing (estimate)
_PARAMETERS = ("beta0", "beta1", "beta2", "cphi")
_Four = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Electrolyte:
    """One cation with one anion: parameters at 298.15 K, slopes per kelvin.

    beta0, beta1, beta2 in kg/mol, cphi in (kg/mol)^2, alpha in (kg/mol)^(1/2).
    """

    cation: str
    anion: str
    beta: tuple[float, float, float]
    cphi: float
    alpha: tuple[float, float]
    slopes: tuple[float, float, float, float]  # beta0, beta1, beta2, cphi
    curvatures: tuple[float, float, float, float]  # the same, per kelvin squared
    molality_max: float  # mol/kg, 0: not stated
    obtained: Obtained
    source: str
    slope_source: str = ""
    reason: str = ""
    note: str = ""
    place: Place = field(default=Place(0), compare=False)


@dataclass(frozen=True, slots=True)
class Mixing:
    """theta (two like ions), psi (two like, one unlike), lambda (neutral, solute), zeta
    (neutral, cation, anion) at 298.15 K, slope per kelvin."""

    kind: str
    solutes: tuple[str, ...]
    value: float
    slope: float
    obtained: Obtained
    source: str
    place: Place = field(default=Place(0), compare=False)


@dataclass(frozen=True, slots=True)
class Pitzer:
    """All of it: by (cation, anion); mixing rows; the ion that stands in for another; what is
    usual for a charge type (|z+|, |z-|)."""

    electrolytes: Mapping[tuple[str, str], Electrolyte]
    mixing: tuple[Mixing, ...]
    stand_in: Mapping[str, str]
    typical: Mapping[tuple[int, int], Electrolyte]


def load_pitzer() -> Pitzer:
    """The four tables of the electrolyte model."""
    fits = [_electrolyte(row) for row in read_table("pitzer_binary")]
    typical = {
        (int(row.text("cation_charge")), int(row.text("anion_charge"))): _electrolyte(row)
        for row in read_table("pitzer_typical")
    }
    analogs = read_table("pitzer_analogs")
    return Pitzer(
        MappingProxyType({(f.cation, f.anion): f for f in fits}),
        tuple(_mixing(row) for row in read_table("pitzer_mixing")),
        MappingProxyType({row.text("species"): row.text("stand_in") for row in analogs}),
        MappingProxyType(typical),
    )


def _number(row: Row, heading: str, absent: float = 0.0) -> float:
    value = row.number(heading)
    return absent if value is None else value


def _electrolyte(row: Row) -> Electrolyte:
    b0, b1, b2, c = (_number(row, f"d{p}") for p in _PARAMETERS)
    slopes = (b0, b1, b2, c)
    return Electrolyte(
        cation=row.text("cation"),
        anion=row.text("anion"),
        beta=(_number(row, "beta0"), _number(row, "beta1"), _number(row, "beta2")),
        cphi=_number(row, "cphi"),
        alpha=(_number(row, "alpha1", 2.0), _number(row, "alpha2", 12.0)),
        slopes=slopes,
        curvatures=_curvatures(row, slopes),
        molality_max=_number(row, "molality_max"),
        obtained=Obtained(row.text("obtained")),
        source=row.text("source"),
        slope_source=row.text("slope_source"),
        reason=row.text("reason"),
        note=row.text("note"),
        place=row.place,
    )


def _curvatures(row: Row, slopes: _Four) -> _Four:
    if any(row.text(f"dd{p}") for p in _PARAMETERS):
        b0, b1, b2, c = (_number(row, f"dd{p}") for p in _PARAMETERS)
    else:
        b0, b1, b2, c = (-s / FADE for s in slopes)
    return b0, b1, b2, c


def _mixing(row: Row) -> Mixing:
    solutes = (row.text("first"), row.text("second"), row.text("third"))
    return Mixing(
        kind=row.text("kind"),
        solutes=tuple(s for s in solutes if s),
        value=_number(row, "value"),
        slope=_number(row, "slope"),
        obtained=Obtained(row.text("obtained")),
        source=row.text("source"),
        place=row.place,
    )
