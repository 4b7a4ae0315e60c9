"""What is known of the hazards of substances and gases, and what has not been looked at."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from types import MappingProxyType

from firstcrop.bank.records import Obtained
from firstcrop.bank.tables import Row, read_table
from firstcrop.problems import Place

NOT_CLASSIFIED = "none"


@dataclass(frozen=True, slots=True)
class Limit:
    """Mass fractions (kg/kg) between which a code applies to a mixture: low <= w < high."""

    code: str
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Hazard:
    """The codes of a pure substance; no codes means looked at and not classified."""

    substance: str
    codes: tuple[str, ...]
    limits: tuple[Limit, ...]
    obtained: Obtained
    source: str
    note: str = ""
    place: Place = field(default=Place(0), compare=False)


@dataclass(frozen=True, slots=True)
class Statement:
    """The wording of one H or EUH code."""

    code: str
    text: str
    signal: str
    pictogram: str
    source: str
    kind: str = ""  # hazard class and category
    precautions: tuple[str, ...] = ()  # P codes it calls for


@cache
def load_hazards() -> tuple[Hazard, ...]:
    """Every row of `hazards.tsv`. A substance without a row has not been assessed."""
    return tuple(_hazard(row) for row in read_table("hazards"))


@cache
def hazards_by_substance() -> Mapping[str, Hazard]:
    """The rows of `hazards.tsv` by the key of the substance."""
    return MappingProxyType({hazard.substance: hazard for hazard in load_hazards()})


@cache
def load_statements() -> Mapping[str, Statement]:
    """The wording of every code in use."""
    rows = read_table("hazard_statements")
    return MappingProxyType(
        {
            row.text("code"): Statement(
                row.text("code"),
                row.text("text"),
                row.text("signal"),
                row.text("pictogram"),
                row.text("source"),
                row.text("class"),
                row.names("precautions"),
            )
            for row in rows
        }
    )


@cache
def generic_limits() -> Mapping[str, float]:
    """Mass fraction from which a code applies to a mixture when no own limit is set; a code
    that is absent here counts at any strength."""
    rows = read_table("hazard_limits")
    return MappingProxyType({row.text("code"): float(row.text("percent")) / 100.0 for row in rows})


def codes_at(hazard: Hazard, fraction: float) -> tuple[str, ...]:
    """The codes of a mixture that holds `fraction` (kg/kg) of the substance and, for the rest,
    nothing that is classified. Own limits first, then the generic ones. One ingredient only:
    several together may classify earlier."""
    own = {limit.code for limit in hazard.limits}
    found = [lim.code for lim in hazard.limits if lim.low <= fraction < lim.high]
    if fraction >= 1.0:
        found += [lim.code for lim in hazard.limits if lim.high >= 1.0 and lim.code not in found]
    generic = generic_limits()
    for code in hazard.codes:
        if code not in own and code not in found and fraction >= generic.get(code, 0.0):
            found.append(code)
    return tuple(found)


def _hazard(row: Row) -> Hazard:
    codes = row.names("codes")
    return Hazard(
        row.text("substance"),
        () if codes == (NOT_CLASSIFIED,) else codes,
        tuple(_limit(text) for text in row.names("limits")),
        Obtained(row.text("obtained")),
        row.text("source"),
        row.text("note"),
        row.place,
    )


def _limit(text: str) -> Limit:
    code, span = text.split(" ")
    low, high = span.split("-")
    return Limit(code, float(low) / 100.0, float(high) / 100.0)
