"""Find a substance or a shop product by what people call it, and offer the nearest names."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Protocol, TypeVar

from firstcrop.bank.records import Component, Feedstock, Substance
from firstcrop.chem.formula import Formula, parse_formula
from firstcrop.problems import Place, Problem, Severity

_T = TypeVar("_T")
Table = Mapping[str, _T] | tuple[_T, ...]

NOWHERE = Place(0)
NEAREST = 3  # names offered
_SPELLINGS = (
    ("sulph", "sulf"),
    ("aluminum", "aluminium"),
    ("cesium", "caesium"),
    ("ferrous sulfate crystals", "ferrous sulfate"),
    ("’", "'"),
    ("‐", "-"),
    ("–", "-"),
    ("di-hydrate", "dihydrate"),
    ("hydrogen carbonate", "hydrogencarbonate"),
    ("hydrogen sulfate", "hydrogensulfate"),
)


class Named(Protocol):
    """What a look-up needs of the bank."""

    @property
    def substances(self) -> Table[Substance]: ...  # noqa: D102

    @property
    def feedstocks(self) -> Table[Feedstock]: ...  # noqa: D102

    @property
    def components(self) -> Table[Component]: ...  # noqa: D102

    def __hash__(self) -> int: ...


def values(table: Table[_T]) -> Iterable[_T]:
    """The records of a table, whether it is a tuple or keyed."""
    return table.values() if isinstance(table, Mapping) else table


@lru_cache(maxsize=16384)
def plain_name(text: str) -> str:
    """A name for comparing: lower case, one space, British sulfate and aluminium."""
    name = " ".join(text.strip().lower().replace("_", " ").split())
    for written, ours in _SPELLINGS:
        name = name.replace(written, ours)
    return name


def find_substance(bank: Named, text: str, place: Place = NOWHERE) -> Substance | Problem:
    """The substance called `text`: by key, synonym or formula, the crystal water counted.

    A shop product is not a substance: ask `find_feedstock`. Codes: bank.product (it is one),
    bank.unknown-substance, with the nearest names of both tables.
    """
    found = substance_named(bank, text)
    if found is not None:
        return found
    product = feedstock_named(bank, text)
    return unknown(bank, text, place) if product is None else _product(product, place)


def find_feedstock(bank: Named, text: str, place: Place = NOWHERE) -> Feedstock | Problem:
    """The shop product called `text`. Code: bank.unknown-substance."""
    return feedstock_named(bank, text) or unknown(bank, text, place)


@lru_cache(maxsize=4096)
def substance_named(bank: Named, text: str) -> Substance | None:
    """As `find_substance`, None when there is none."""
    written = text.strip()
    substances = tuple(values(bank.substances))
    exact = _first(s for s in substances if written in (s.key, s.formula, *s.names))
    if exact is not None:
        return exact
    formula = _formula(written)
    if formula is not None:
        return _first(s for s in substances if _same(formula, s.formula))
    for name in _variants(written):
        named = _first(s for s in substances if name in _plain_names(s.key, s.formula, s.names))
        if named is not None:
            return named
    return None


@lru_cache(maxsize=4096)
def feedstock_named(bank: Named, text: str) -> Feedstock | None:
    """As `find_feedstock`, None when there is none."""
    feedstocks = tuple(values(bank.feedstocks))
    for name in _variants(text):
        found = _first(f for f in feedstocks if name in _plain_names(f.name, "", f.names))
        if found is not None:
            return found
    return None


def _variants(text: str) -> tuple[str, ...]:
    """The name as it stands, then without and with a plural s."""
    wanted = plain_name(text)
    if len(wanted) < 4:
        return (wanted,)
    return tuple(dict.fromkeys((wanted, wanted.removesuffix("s"), f"{wanted}s")))


def _product(product: Feedstock, place: Place) -> Problem:
    message = f"'{product.name}' is a product: {product.strength} {product.substance}."
    hint = f"Name {product.substance} as the substance, with a strength."
    return Problem("bank.product", message, (place,) if place.line else (), hint)


def unknown(bank: Named, text: str, place: Place = NOWHERE) -> Problem:
    """The Problem that `text` is neither a substance nor a product, with the nearest names."""
    near = nearest_names(bank, text)
    hint = "Add it to a Substances table with its formula and a source."
    if near:
        hint = f"Did you mean {_or(near)}? Otherwise add it to a Substances table."
    message = f"'{text.strip()}' is not in the bank."
    return Problem("bank.unknown-substance", message, (place,) if place.line else (), hint)


@lru_cache(maxsize=512)
def nearest_names(bank: Named, text: str) -> tuple[str, ...]:
    """Up to three names, best first, one a substance or product."""
    wanted = plain_name(text)
    if not wanted:
        return ()
    owner: dict[str, str] = {}
    written: dict[str, str] = {}
    for key, names in _all_names(bank):
        for name in names:
            owner.setdefault(plain_name(name), key)
            written.setdefault(plain_name(name), name)
    close = difflib.get_close_matches(wanted, owner, n=12, cutoff=0.6)
    close += [name for name in owner if len(wanted) > 3 and wanted in name and name not in close]
    found: dict[str, str] = {}
    for name in close:
        found.setdefault(owner[name], written[name])
    return tuple(found.values())[:NEAREST]


def hydrates(bank: Named, substance: Substance) -> tuple[Substance, ...]:
    """Other substances that differ from this one in crystal water only, driest first."""
    dry = _without_water(substance.formula)
    if dry is None:
        return ()
    found = [
        (other.molar_mass, other)
        for other in values(bank.substances)
        if other.key != substance.key
        and other.formula != substance.formula
        and other.phase == "solid"
        and _without_water(other.formula) == dry
    ]
    return tuple(other for _, other in sorted(found, key=lambda pair: pair[0]))


def hydrate_note(
    bank: Named, text: str, substance: Substance, place: Place = NOWHERE
) -> Problem | None:
    """A NOTE when a bare name was read as the dry salt though hydrates of it are sold."""
    if plain_name(text) != plain_name(substance.key) or "anhydrous" in text.lower():
        return None
    formula = parse_formula(substance.formula)
    wet = hydrates(bank, substance)
    if isinstance(formula, Problem) or formula.water or not wet:
        return None
    message = f"'{text}' is taken as the dry salt {substance.formula}."
    hint = f"Packets often hold {_or(tuple(s.formula for s in wet))}: name the hydrate you have."
    return Problem("bank.hydrate", message, (place,) if place.line else (), hint, Severity.NOTE)


def _first(found: Iterable[_T]) -> _T | None:
    return next(iter(found), None)


@lru_cache(maxsize=4096)
def _plain_names(key: str, formula: str, names: tuple[str, ...]) -> frozenset[str]:
    return frozenset(plain_name(n) for n in (key, formula, *names) if n)


def _all_names(bank: Named) -> Iterable[tuple[str, tuple[str, ...]]]:
    for substance in values(bank.substances):
        yield substance.key, (substance.key, *substance.names)
    for feedstock in values(bank.feedstocks):
        yield f"product {feedstock.name}", (feedstock.name, *feedstock.names)


@lru_cache(maxsize=4096)
def _formula(text: str) -> Formula | None:
    """`text` as a formula; None when it is none, or a word in lower case."""
    if text == text.lower():
        return None
    formula = parse_formula(text)
    return None if isinstance(formula, Problem) else formula


def _same(formula: Formula, other: str) -> bool:
    theirs = _formula(other)
    return theirs is not None and theirs.water == formula.water and formula.same_matter(theirs)


@lru_cache(maxsize=4096)
def _without_water(text: str) -> frozenset[tuple[str, object]] | None:
    formula = _formula(text)
    if formula is None or formula.charge:
        return None
    atoms = dict(formula.elements)
    if formula.water:
        atoms["H"] = atoms["H"] - 2 * formula.water
        atoms["O"] = atoms["O"] - formula.water
    rest = {symbol: count for symbol, count in atoms.items() if count}
    return frozenset(rest.items()) if rest else None


def _or(names: tuple[str, ...]) -> str:
    return " or ".join((", ".join(names[:-1]), names[-1])) if len(names) > 1 else names[0]
