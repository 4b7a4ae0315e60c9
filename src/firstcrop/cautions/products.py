"""What the declared reactions of a sheet may have made of what stands in a vessel.

A product counts as present, in an amount not known, once everything the reaction needs has come
together; what it used up still counts as present.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from firstcrop.bank.decompose import decompose
from firstcrop.bank.lookup import Named, substance_named
from firstcrop.bank.records import Substance
from firstcrop.cautions.contents import Contents
from firstcrop.cautions.stuff import UNKNOWN, WATERS
from firstcrop.chem.equation import EquationTerm
from firstcrop.chem.formula import Formula, parse_formula
from firstcrop.problems import Problem
from firstcrop.sheet.records import Reaction

WATER = "H2O"
COMMON = ("H+", "OH-", "H2O")


@dataclass(frozen=True, slots=True)
class Making:
    """A reaction: the keys of the neutral substances it needs, the ions, and what it makes."""

    needs: tuple[frozenset[str], ...]  # for each, the substances that will do
    ions: tuple[Formula, ...]
    makes: tuple[Substance, ...]


@lru_cache(maxsize=128)
def makings(reactions: tuple[Reaction, ...], bank: Named) -> tuple[Making, ...]:
    """Of every reaction of the sheet."""
    return tuple(_making(reaction, bank) for reaction in reactions)


def _making(reaction: Reaction, bank: Named) -> Making:
    left = [t for t in reaction.equation.left if _bare(t) not in COMMON]
    neutral = [t for t in left if not t.formula.charge]
    right = [t for t in reaction.equation.right if _bare(t) not in COMMON]
    return Making(
        needs=tuple(_will_do(t, bank) for t in neutral),
        ions=tuple(t.formula for t in left if t.formula.charge),
        makes=tuple(_made(t, bank) for t in right),
    )


def _bare(term: EquationTerm) -> str:
    return term.formula.text


def _will_do(term: EquationTerm, bank: Named) -> frozenset[str]:
    """Keys of the substance a term names; empty when the bank does not know it."""
    substance = substance_named(bank, _bare(term))
    return frozenset((substance.key,)) if substance else frozenset()


def _made(term: EquationTerm, bank: Named) -> Substance:
    text = _bare(term)
    known = substance_named(bank, text)
    if known is not None:
        return known
    parts = decompose(bank, term.formula) if not term.formula.charge else Problem("", "")
    components = () if isinstance(parts, Problem) else parts
    if term.formula.charge:
        components = tuple((c, 1.0) for c in _names(bank) if _same(c, term.formula))
    phase = "gas" if term.state == "g" else "solid"
    return Substance(key=text, names=(), formula=text, phase=phase, components=components)


def _names(bank: Named) -> tuple[str, ...]:
    components = bank.components
    return tuple(components) if isinstance(components, dict | MappingProxyType) else ()


@lru_cache(maxsize=4096)
def _same(component: str, formula: Formula) -> bool:
    read = parse_formula(component)
    return not isinstance(read, Problem) and read.same_matter(formula)


def react(contents: Contents, reactions: tuple[Making, ...]) -> Contents:
    """The contents with what the reactions may have made; each reaction is tried twice, for one
    may need what another makes."""
    for _ in range(2):
        for making in reactions:
            if _can_run(making, contents):
                contents = _with(contents, making)
    return contents


def _can_run(making: Making, contents: Contents) -> bool:
    """Everything it needs is here: by the substance, or by its formula's components."""
    if contents.empty:
        return False
    here = set(contents.masses)
    components = {c for s in contents.substances.values() for c, _ in s.components}
    neutral = all(not keys or keys & here or _dissolved(keys, contents) for keys in making.needs)
    ions = all(any(_same(c, ion) for c in components) for ion in making.ions)
    known = any(keys for keys in making.needs) or bool(making.ions)
    return neutral and ions and known


def _dissolved(keys: frozenset[str], contents: Contents) -> bool:
    """A hydrate, or the same salt under another key, is as good."""
    wanted = next(iter(keys))
    return any(key.startswith(wanted) or wanted.startswith(key) for key in contents.masses)


def _with(contents: Contents, making: Making) -> Contents:
    new = [s for s in making.makes if s.key not in contents.masses and s.key not in WATERS]
    if not new:
        return contents
    return contents.merged(
        Contents(
            MappingProxyType({s.key: UNKNOWN for s in new}),
            MappingProxyType({s.key: 1.0 for s in new}),
            MappingProxyType({s.key: s for s in new}),
        )
    )
