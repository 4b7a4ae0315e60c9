"""Which groups a substance belongs to: by the table, by what it dissolves into, by its atoms, and
for a name nobody knows by the words in it.

All but the first catch a substance that a sheet defines itself, or a row added to the bank that
nobody put into a group.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache, lru_cache
from types import MappingProxyType

from firstcrop.bank.lookup import plain_name
from firstcrop.bank.matrix import name_words
from firstcrop.bank.mixing import mixing_groups
from firstcrop.bank.records import Stoichiometry, Substance
from firstcrop.bank.substances import load_substances
from firstcrop.chem.formula import parse_formula
from firstcrop.problems import Problem

NONE: frozenset[str] = frozenset()
OF_ONE_HYDRATE = ("water dry heat", "hypochlorite solid", "water")
GUESSED = "guessed"  # phase of a material known by the words of its name only

BY_COMPONENT = (
    ("CO3-2", ("carbonate",)),
    ("ClO-", ("hypochlorite",)),
    ("SO3-2", ("sulfite",)),
    ("S2O3-2", ("thiosulfate",)),
    ("HS-", ("sulfide",)),
    ("NO2-", ("nitrite",)),
    ("NO3-", ("nitrate",)),
    ("ClO3-", ("chlorate", "strong oxidiser")),
    ("MnO4-", ("permanganate", "strong oxidiser")),
    ("CrO4-2", ("dichromate", "strong oxidiser")),
    ("NH4+", ("ammonia or amine",)),
    ("Fe(CN)6-3", ("iron cyanide",)),
    ("Fe(CN)6-4", ("iron cyanide",)),
    ("SCN-", ("thiocyanate",)),
    ("F-", ("fluoride",)),
    ("I-", ("iodide",)),
    ("Br-", ("bromide",)),
    ("Cl-", ("chloride",)),
    ("H2O2", ("peroxide",)),
    ("I2", ("iodine",)),
    ("C2O4-2", ("formic group",)),
    ("HCOO-", ("formic group",)),
    ("C2H5OH", ("organic", "alcohol or glycol", "flammable solvent")),
    ("CH3OH", ("organic", "alcohol or glycol", "flammable solvent")),
    ("C3H8O3", ("organic", "alcohol or glycol")),
    ("C3H6O", ("organic", "ketone", "flammable solvent")),
    ("C12H22O11", ("organic", "solid fuel")),
    ("CO(NH2)2", ("ammonia or amine",)),
    ("NH2SO3-", ("sulfamic acid", "ammonia or amine")),
)
_BASES = ("CO3-2", "HS-", "SO3-2", "ClO-", "B(OH)3", "NH4+")  # bring protons and are no acids
_ALKALI_METALS = ("Na+", "K+", "Li+", "Ca+2", "Ba+2", "Sr+2")
_SOUR_METALS = ("Al+3", "Fe+3", "Cr+3", "Cu+2", "Zn+2", "Fe+2")
_METALS = frozenset(
    ("Li", "Na", "K", "Rb", "Cs", "Mg", "Ca", "Sr", "Ba", "Al", "Zn", "Fe", "Cu", "Ag", "Ni", "Co",
     "Mn", "Pb", "Sn", "Cd", "Hg", "Sb", "Bi", "Cr")
)  # fmt: skip
_LIGHT = frozenset(("Li", "Na", "K", "Rb", "Cs"))
_TOUGH = frozenset(("Fe", "Ni", "Co", "Cr", "Mn", "Zn", "Cu", "Ag"))  # hold cyanide in a complex
# what metals (or ammonium) and one other element make
_BINARY = (("S", "sulfide"), ("P", "phosphide"), ("N", "nitride"), ("F", "fluoride"))
# ions spelt out in a formula, no digit after them
_SPELT = (("ClO3", "chlorate"), ("ClO2", "chlorate"), ("ClO", "hypochlorite"),
          ("OCl", "hypochlorite"), ("NO2", "nitrite"), ("SO3", "sulfite"), ("S2O5", "sulfite"),
          ("S2O4", "dithionite"), ("S2O3", "thiosulfate"), ("NO3", "nitrate"),
          ("CO3", "carbonate"), ("S2O8", "persulfate"), ("MnO4", "permanganate"),
          ("Cr2O7", "dichromate"), ("CrO4", "dichromate"), ("SCN", "thiocyanate"),
          (r"\(CN\)6", "iron cyanide"), ("NH4", "ammonium salt"))  # fmt: skip
_ALSO = (("chlorate", "strong oxidiser"), ("permanganate", "strong oxidiser"),
         ("dichromate", "strong oxidiser"), ("persulfate", "strong oxidiser"),
         ("dithionite", "sulfite"), ("ammonium salt", "ammonia or amine"))  # fmt: skip


def groups_of(substance: Substance) -> frozenset[str]:
    """Every group of `mixing_groups.tsv` the substance belongs to."""
    return _groups(substance.key, substance.components, substance.phase, substance.formula)


@lru_cache(maxsize=2048)
def _groups(key: str, components: Stoichiometry, phase: str, formula: str) -> frozenset[str]:
    if phase == GUESSED:
        return guessed_groups(key)
    groups = mixing_groups()
    listed = {group for group, members in groups.items() if key in members}
    if listed or phase == "gas":
        return frozenset(listed)
    return frozenset(
        _derived(dict(components))
        | formula_groups(formula)
        | _siblings().get(_dry(components), NONE)
    )


def _dry(components: Stoichiometry) -> frozenset[tuple[str, float]]:
    return frozenset((c, n) for c, n in components if c != "H2O")


@cache
def _siblings() -> Mapping[frozenset[tuple[str, float]], frozenset[str]]:
    """What a salt dissolves into -> the groups its listed hydrates belong to."""
    found: dict[frozenset[tuple[str, float]], frozenset[str]] = {}
    for substance in load_substances():
        listed = {g for g, members in mixing_groups().items() if substance.key in members}
        if substance.components and listed and substance.phase != "gas":
            dry = _dry(substance.components)
            found[dry] = found.get(dry, NONE) | listed - set(OF_ONE_HYDRATE)
    return MappingProxyType(found)


def component_groups(component: str) -> tuple[str, ...]:
    """The groups a component of a liquor stands for."""
    return _by_component().get(component, ())


@cache
def _by_component() -> Mapping[str, tuple[str, ...]]:
    return MappingProxyType(dict(BY_COMPONENT))


def _derived(parts: dict[str, float]) -> set[str]:
    found = {group for part, names in BY_COMPONENT if part in parts for group in names}
    protons = parts.get("H+", 0.0)
    if protons > 0.0 and not any(base in parts for base in _BASES):
        found |= {"acid", "strong acid"}
    if protons < 0.0 and any(metal in parts for metal in _ALKALI_METALS):
        found |= {"alkali", "caustic"}
    if protons == 0.0 and any(metal in parts for metal in _SOUR_METALS):
        found.add("acidic salt")
    return found


@lru_cache(maxsize=2048)
def formula_groups(text: str) -> frozenset[str]:
    """Groups told by a formula alone: two-element salts, cyanides, free light metals, and ions
    spelt out in it."""
    formula = parse_formula(text) if text else None
    if formula is None or isinstance(formula, Problem):
        return frozenset()
    atoms = {symbol: float(count) for symbol, count in formula.elements if count}
    metals, others = set(atoms) & _METALS, set(atoms) - _METALS
    found = {group for spelt, group in _SPELT if re.search(rf"{spelt}(?!\d)", text)}
    found |= {group for element, group in _BINARY if metals and others == {element}}
    if others == {"N", "H", "S"} or (metals and others == {"H", "S"}):
        found.add("sulfide")
    if others == {"C", "N"} and not metals & _TOUGH and atoms["C"] == atoms["N"]:
        found.add("cyanide")
    if metals and others == {"C"}:
        found.add("carbide")
    if metals and others == {"H"}:
        found.add("hydride")
    if not others and metals and metals <= _LIGHT:
        found.add("alkali metal")
    if others == {"H", "O"} and metals & (_LIGHT | {"Ca", "Ba", "Sr"}):
        found |= {"alkali", "caustic"}
    return frozenset(found | {more for group, more in _ALSO if group in found})


@lru_cache(maxsize=512)
def guessed_groups(name: str) -> frozenset[str]:
    """By the words in a name, longest first; a word inside one already read is not read again."""
    left = f" {plain_name(name)} "
    found: set[str] = set()
    for word, groups in name_words():
        if f" {word}" in left or f"{word} " in left or f"{word}s " in left:
            found |= groups
            left = left.replace(word, " ")
    return frozenset(found)
