"""Vapour pressures over volatile liquids and their solutions in water."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from firstcrop.bank.tables import read_table


@dataclass(frozen=True, slots=True)
class Vapour:
    """Partial pressure, Pa at 25 °C, over a solution of `share` kg/kg."""

    gas: str
    share: float
    pressure: float


@cache
def vapour_rows() -> Mapping[str, tuple[Vapour, ...]]:
    """The rows of `vapours.tsv` by substance, the weakest first."""
    found: dict[str, list[Vapour]] = {}
    for row in read_table("vapours"):
        one = Vapour(
            row.text("gas"),
            float(row.text("percent")) / 100.0,
            float(row.text("pressure")) * 1e3,
        )
        found.setdefault(row.text("substance"), []).append(one)
    return MappingProxyType(
        {key: tuple(sorted(rows, key=lambda r: r.share)) for key, rows in found.items()}
    )
