"""Pairs of substances that must not, or not lightly, meet; gases and what they do; the law."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from types import MappingProxyType

from firstcrop.bank.records import Obtained
from firstcrop.bank.tables import read_table
from firstcrop.problems import Place, Severity


@dataclass(frozen=True, slots=True)
class Pairing:
    """Group `a` meeting group `b`; the minima are kg/kg."""

    key: str
    a: str
    a_min: float
    b: str
    b_min: float
    product: str
    severity: Severity
    message: str
    remedy: str
    source: str
    obtained: Obtained
    gas_a: float | None = None  # mol of product from one mol of a side at most; None: no limit
    gas_b: float | None = None
    place: Place = field(default=Place(0), compare=False)


@dataclass(frozen=True, slots=True)
class GasHazard:
    """A gas; `lfl` is a volume fraction, None where there is no figure."""

    gas: str
    name: str
    kind: str  # toxic, flammable, both, asphyxiant, harmless
    lfl: float | None
    source: str
    note: str

    @property
    def toxic(self) -> bool:
        """Harms when breathed in small amounts."""
        return self.kind in ("toxic", "both")

    @property
    def flammable(self) -> bool:
        """Burns or explodes with air."""
        return self.kind in ("flammable", "both")


@dataclass(frozen=True, slots=True)
class Rule:
    """A strength (kg/kg) from which a law restricts a substance, or its sale is watched."""

    substance: str
    regime: str
    limit: float
    kind: str  # restricted, reportable, watched
    source: str
    places: tuple[str, ...] = ()  # codes of `places.tsv`; empty: everywhere
    licence: float | None = None  # kg/kg up to which a licence may be had in the EU
    obtained: str = ""


@dataclass(frozen=True, slots=True)
class Stop:
    """An identity that is never planned. `field_only`: it must be the whole of a name."""

    name: str
    cas: str
    field_only: bool


@dataclass(frozen=True, slots=True)
class StopMixture:
    """Groups that are never planned in one vessel; `dry`: only while there is no water."""

    key: str
    groups: tuple[str, ...]
    minimum: float  # kg/kg of the first group
    dry: bool


@dataclass(frozen=True, slots=True)
class Drying:
    """A solid that must not be dried hot."""

    substance: str
    severity: Severity
    why: str
    remedy: str
    source: str


@dataclass(frozen=True, slots=True)
class Pouring:
    """A thing water must not be poured onto, from a strength (kg/kg)."""

    substance: str
    kind: str  # acid, solid
    start: float
    source: str


@cache
def load_dryings() -> tuple[Drying, ...]:
    """Every row of `drying.tsv`."""
    return tuple(
        Drying(
            row.text("substance"),
            Severity(row.text("severity")),
            row.text("why"),
            row.text("remedy"),
            row.text("source"),
        )
        for row in read_table("drying")
    )


@cache
def load_pourings() -> tuple[Pouring, ...]:
    """Every row of `pouring.tsv`."""
    return tuple(
        Pouring(
            row.text("substance"),
            row.text("kind"),
            float(row.text("from")) / 100.0,
            row.text("source"),
        )
        for row in read_table("pouring")
    )


@cache
def mixing_groups() -> Mapping[str, frozenset[str]]:
    """Group -> keys of substances."""
    rows = read_table("mixing_groups")
    return MappingProxyType({row.text("group"): frozenset(row.names("members")) for row in rows})


@cache
def load_pairings() -> tuple[Pairing, ...]:
    """Every row of `mixing.tsv`."""
    return tuple(
        Pairing(
            key=row.text("key"),
            a=row.text("a"),
            a_min=float(row.text("a_min")) / 100.0,
            b=row.text("b"),
            b_min=float(row.text("b_min")) / 100.0,
            product=row.text("product"),
            severity=Severity(row.text("severity")),
            message=row.text("message"),
            remedy=row.text("remedy"),
            source=row.text("source"),
            obtained=Obtained(row.text("obtained")),
            gas_a=row.number("gas_a"),
            gas_b=row.number("gas_b"),
            place=row.place,
        )
        for row in read_table("mixing")
    )


@cache
def load_gas_hazards() -> Mapping[str, GasHazard]:
    """Every row of `hazard_gases.tsv` by formula."""
    return MappingProxyType(
        {
            row.text("gas"): GasHazard(
                row.text("gas"),
                row.text("name"),
                row.text("kind"),
                row.number("lfl"),
                row.text("source"),
                row.text("note"),
            )
            for row in read_table("hazard_gases")
        }
    )


@cache
def load_rules() -> tuple[Rule, ...]:
    """Every row of `regulated.tsv`."""
    return tuple(
        Rule(
            row.text("substance"),
            row.text("regime"),
            float(row.text("limit")) / 100.0,
            row.text("kind"),
            row.text("source"),
            row.names("places"),
            None if row.number("licence") is None else float(row.text("licence")) / 100.0,
            row.text("obtained"),
        )
        for row in read_table("regulated")
    )


@cache
def load_places() -> Mapping[str, str]:
    """Code of the law of a place by its names, in lower case."""
    return MappingProxyType(
        {
            name.lower(): row.text("code")
            for row in read_table("places")
            for name in (row.text("code"), *row.names("names"))
        }
    )


def rules_in(place: str) -> tuple[Rule, ...]:
    """The rules of a country (or EU, GB); all of them for a place whose lists are not held."""
    code = load_places().get(" ".join(place.split()).lower(), "")
    return tuple(r for r in load_rules() if not (code and r.places) or code in r.places)


@cache
def load_stops() -> tuple[Stop, ...]:
    """Every row of `refused.tsv`: identities only."""
    return tuple(
        Stop(row.text("name"), row.text("cas"), row.text("match") == "field")
        for row in read_table("refused")
    )


@cache
def load_stop_mixtures() -> tuple[StopMixture, ...]:
    """Every row of `refused_mixtures.tsv`."""
    return tuple(
        StopMixture(
            row.text("key"),
            row.names("groups"),
            float(row.text("min")) / 100.0,
            row.text("dry") == "dry",
        )
        for row in read_table("refused_mixtures")
    )
