"""The units a quantity may carry: spellings, and exact factors to SI (`units.tsv`).

A unit of two parts, `mL/min`, `g per mL`, `K min-1`, is put together from the table; what the two
kinds make is listed in `_MADE_OF`. Factors are decimals, so 60 mL is 6e-05 m3 and nothing else.
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Final

from firstcrop.quantity.records import Basis, Kind

_MADE_OF: Final[MappingProxyType[tuple[Kind | Basis, Kind | Basis], Kind | Basis]] = (
    MappingProxyType(
        {
            (Kind.MASS, Kind.TIME): Kind.MASS_FLOW,
            (Kind.VOLUME, Kind.TIME): Kind.VOLUME_FLOW,
            (Kind.DROPS, Kind.TIME): Kind.VOLUME_FLOW,
            (Kind.TEMPERATURE, Kind.TIME): Kind.HEATING_RATE,
            (Kind.MASS, Kind.VOLUME): Kind.DENSITY,
            (Kind.ENERGY, Kind.AMOUNT): Kind.ENERGY,
            (Kind.AMOUNT, Kind.VOLUME): Basis.MOLARITY,
            (Kind.AMOUNT, Kind.MASS): Basis.MOLALITY,
        }
    )
)
_LIGHT: Final = frozenset({"g/L", "mg/L", "mg/mL", "µg/L", "µg/mL"})  # dissolved, not a density
_SEPARATOR = re.compile(r"\s*/\s*|\s+(?:per|an?)\s+|(?:\s*[·*]\s*|\s+)(?=[^\W\d]+\^?-[13])")
_BELOW = re.compile(r"([^\W\d]+)\^?-([13])(?!\d)")
_FLAT = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺μ−º˚\u00a0\u2009\u202f", "0123456789-+µ-°°   ")


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: SI value = number · factor + offset. `kind` is a Basis for a strength."""

    name: str
    kind: Kind | Basis
    factor: Decimal
    offset: Decimal = Decimal(0)

    def si(self, number: Decimal) -> float:
        """The SI value of `number` of it."""
        return float(number * self.factor + self.offset)

    def step(self, number: Decimal) -> float:
        """The SI size of a difference of `number`, no offset."""
        return float(number * self.factor)


def flat(text: str) -> str:
    """Superscripts, micro signs, degree signs and odd spaces in one spelling; same length."""
    return text.translate(_FLAT)


@cache
def table() -> MappingProxyType[str, Unit]:
    """Spelling to unit, from `units.tsv`."""
    text = (files("firstcrop.quantity") / "units.tsv").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    found: dict[str, Unit] = {}
    for line in lines[1:]:
        name, kind, factor, offset, spellings, _ = line.split("\t")
        unit = Unit(name, Kind(kind), Decimal(factor), Decimal(offset))
        found.update((spelling, unit) for spelling in spellings.split(";"))
    return MappingProxyType(found)


@cache
def units() -> tuple[str, ...]:
    """Every spelling of a simple unit, and the common rates, densities and concentrations."""
    rates = [f"{a}/{b}" for a in _RATED for b in ("s", "sec", "min", "h", "hr", "hour")]
    made = ["g/mL", "g/ml", "g/cm3", "g/cc", "kg/L", "kg/m3", "g/L", "g/l", "mg/L", "mg/mL"]
    return (*table(), *rates, *made, "kJ/mol", "J/mol", "kcal/mol", "mol/L", "mol/kg", "mmol/L")


_RATED: Final = ("mL", "ml", "L", "l", "g", "mg", "kg", "drop", "drops", "K", "°C", "C")


@cache
def _pattern(ignore_case: bool) -> re.Pattern[str]:
    spellings = sorted(table(), key=len, reverse=True)
    body = "|".join(re.escape(flat(s)).replace(r"\ ", r"\s+") for s in spellings)
    return re.compile(rf"(?:{body})(?![^\W_])", re.IGNORECASE if ignore_case else re.NOFLAG)


@cache
def _by_flat() -> MappingProxyType[str, Unit]:
    return MappingProxyType({" ".join(flat(s).split()): unit for s, unit in table().items()})


@cache
def _by_lower() -> MappingProxyType[str, Unit | None]:
    """Lower-case spelling to unit; None where two units differ only in capitals."""
    found: dict[str, Unit | None] = {}
    for spelling, unit in _by_flat().items():
        low = spelling.lower()
        found[low] = unit if found.get(low, unit) is unit else None
    return MappingProxyType(found)


@dataclass(frozen=True, slots=True)
class Match:
    """A unit found in a text, where it ends, and whether its capitals had to be overlooked."""

    unit: Unit
    end: int
    loose: bool = False


def match_simple(text: str, at: int) -> Match | None:
    """The longest unit of the table that starts at `at`."""
    even = flat(text)
    if found := _pattern(False).match(even, at):
        return Match(_by_flat()[" ".join(found[0].split())], found.end())
    if found := _pattern(True).match(even, at):
        unit = _by_lower().get(" ".join(found[0].lower().split()))
        return Match(unit, found.end(), loose=True) if unit else None
    return None


def match_unit(text: str, at: int) -> Match | None:
    """The unit that starts at `at`, of one part or two; None when there is none."""
    first = match_simple(text, at)
    if first is None:
        return None
    if divider := _SEPARATOR.match(flat(text), first.end):
        second = _match_below(text, divider)
        made = _made(first.unit, second.unit) if second else None
        if second and made:
            return Match(made, second.end, first.loose or second.loose)
    return first


def _match_below(text: str, divider: re.Match[str]) -> Match | None:
    """The unit below the stroke; of `min-1` and `dm-3` the exponent is swallowed."""
    if "/" in divider[0] or divider[0].strip().isalpha():
        return match_simple(text, divider.end())
    exponent = _BELOW.match(flat(text), divider.end())
    if exponent is None:
        return None
    name = exponent[1] if exponent[2] == "1" else f"{exponent[1]}3"
    inner = match_simple(name, 0)
    whole = inner is not None and inner.end == len(name)
    return Match(inner.unit, exponent.end(), inner.loose) if inner and whole else None


def _made(above: Unit, below: Unit) -> Unit | None:
    kind = _MADE_OF.get((above.kind, below.kind))
    if kind is None:
        return None
    name = f"{above.name}/{below.name}"
    if kind is Kind.DENSITY and name in _LIGHT:
        kind = Basis.MASS_CONCENTRATION
    return Unit(name, kind, above.factor / below.factor)


def unit_named(name: str) -> Unit | None:
    """The unit with this exact spelling, None when there is none."""
    found = match_unit(name, 0)
    return found.unit if found and found.end == len(name) and not found.loose else None


def nearest(word: str) -> tuple[str, ...]:
    """Up to three unit spellings like a wrong one."""
    return tuple(difflib.get_close_matches(word, units(), n=3, cutoff=0.6))
