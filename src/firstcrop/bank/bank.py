"""The bank: every table of cited values, read once and never changed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Protocol, TypeVar

from firstcrop.bank.aqueous import load_components, load_gases, load_species
from firstcrop.bank.bulk import Solute, load_bulk
from firstcrop.bank.elements import load_weights
from firstcrop.bank.feedstocks import load_feedstocks
from firstcrop.bank.hazards import Hazard, load_hazards
from firstcrop.bank.pitzer import Pitzer, load_pitzer
from firstcrop.bank.practice import HeatMeans, Practice, load_means, load_practice
from firstcrop.bank.records import Component, Feedstock, Gas, Solid, Source, Species, Substance
from firstcrop.bank.solids import load_solids
from firstcrop.bank.substances import load_substances
from firstcrop.bank.tables import read_sources
from firstcrop.bank.vessels import VesselShape, load_vessels
from firstcrop.chem.weights import Weights


@dataclass(frozen=True, eq=False)
class Bank:
    """Cited values by kind. Keyed tables keep the order of their files."""

    weights: Weights
    substances: Mapping[str, Substance]
    feedstocks: tuple[Feedstock, ...]
    components: Mapping[str, Component]
    species: Mapping[str, Species]
    gases: Mapping[str, Gas]
    solids: Mapping[str, Solid]
    pitzer: Pitzer
    bulk: Mapping[tuple[str, ...], Solute]  # by (cation, anion) or (neutral,)
    vessels: tuple[VesselShape, ...]
    hazards: tuple[Hazard, ...]
    practice: Mapping[str, Practice]
    means: Mapping[str, HeatMeans]
    sources: Mapping[str, Source]


class _Keyed(Protocol):
    @property
    def key(self) -> str: ...


_T = TypeVar("_T", bound=_Keyed)


def _by_key(records: tuple[_T, ...]) -> Mapping[str, _T]:
    return MappingProxyType({record.key: record for record in records})


@cache
def load_bank() -> Bank:
    """The bank as shipped. A malformed table is a bug and raises ValueError."""
    return Bank(
        weights=load_weights(),
        substances=_by_key(load_substances()),
        feedstocks=load_feedstocks(),
        components=_by_key(load_components()),
        species=_by_key(load_species()),
        gases=_by_key(load_gases()),
        solids=_by_key(load_solids()),
        pitzer=load_pitzer(),
        bulk=load_bulk(),
        vessels=load_vessels(),
        hazards=load_hazards(),
        practice=load_practice(),
        means=load_means(),
        sources=read_sources(),
    )
