"""Which groups a substance belongs to: by the table, and by what it dissolves into.

The second way catches a substance that a sheet defines itself, or a row added to the bank that
nobody put into a group.
"""

from __future__ import annotations

from functools import lru_cache

from firstcrop.bank.mixing import mixing_groups
from firstcrop.bank.records import Stoichiometry, Substance

_BY_COMPONENT = (
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
)
_BASES = ("CO3-2", "HS-", "SO3-2", "ClO-", "B(OH)3", "NH4+")  # bring protons and are no acids
_ALKALI_METALS = ("Na+", "K+", "Li+", "Ca+2", "Ba+2", "Sr+2")


def groups_of(substance: Substance) -> frozenset[str]:
    """Every group of `mixing_groups.tsv` the substance belongs to."""
    return _groups(substance.key, substance.components, substance.phase)


@lru_cache(maxsize=2048)
def _groups(key: str, components: Stoichiometry, phase: str) -> frozenset[str]:
    groups = mixing_groups()
    listed = {group for group, members in groups.items() if key in members}
    if any(key in members for members in groups.values()) or phase == "gas":
        return frozenset(listed)
    return frozenset(listed | _derived(dict(components)))


def _derived(parts: dict[str, float]) -> set[str]:
    found = {group for part, names in _BY_COMPONENT if part in parts for group in names}
    protons = parts.get("H+", 0.0)
    if protons > 0.0 and not any(base in parts for base in _BASES):
        found |= {"acid", "strong acid"}
    if protons < 0.0 and any(metal in parts for metal in _ALKALI_METALS):
        found |= {"alkali", "caustic"}
    return found
