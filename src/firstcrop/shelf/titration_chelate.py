"""EDTA for the engine: a bank that holds it beside the rest, the flask with its buffer, the metal.

EDTA stays out of the bank itself, since no preparation uses it and formulas of other things should
not be split into it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from types import MappingProxyType

from firstcrop.bank.aqueous import load_components, load_species
from firstcrop.bank.bank import Bank
from firstcrop.bank.practice import load_practice
from firstcrop.bank.records import Stoichiometry
from firstcrop.shelf.assay_records import Counted

METHOD = "complexometry"
EDTA = "C10H12N2O8-4"
DISODIUM: Stoichiometry = (("Na+", 2.0), ("H+", 2.0), (EDTA, 1.0))
_MADE_OF_METAL = (("Cl-", 2.0),)  # a metal or carbonate is dissolved in hydrochloric acid


@lru_cache(maxsize=4)
def bank_with_edta(bank: Bank) -> Bank:
    """The same bank with EDTA and its complexes (`chelate_species.tsv`)."""
    components = {c.key: c for c in load_components("chelate_components")}
    species = {s.key: s for s in load_species("chelate_species")}
    return replace(
        bank,
        components=MappingProxyType({**bank.components, **components}),
        species=MappingProxyType({**bank.species, **species}),
    )


@dataclass(frozen=True, slots=True)
class Chelated:
    """A metal as it stands in the flask: its ion, and components of one mole of what brings it."""

    ion: str
    sample: Stoichiometry

    @property
    def scale(self) -> str:
        """`pZn` for Zn+2."""
        return f"p{self.ion.partition('+')[0]}"


def chelated(counted: Counted, components: Stoichiometry) -> Chelated | None:
    """What a row of `complexometry` brings into the flask; None when its metal has no complex."""
    metals = {k for s in load_species("chelate_species") for k, _ in s.components}
    keys = [key for key, _ in components if key in metals and key.endswith("+2")]
    dissolved = len(counted.equations) > 1  # in acid first
    if keys and not dissolved:
        return Chelated(keys[0], components)
    first = counted.equations[-1].split(" + ")[0].strip()
    if dissolved and first in metals:
        return Chelated(first, ((first, 1.0), *_MADE_OF_METAL))
    return None


def buffer(volume: float) -> tuple[tuple[Stoichiometry, float], ...]:
    """Ammonium chloride and ammonia in a flask of `volume` m3 at pH 10: components and mol."""
    practice = load_practice("assay_practice")
    salt, ammonia = (practice[name].value for name in ("buffer_salt", "buffer_ammonia"))
    return (
        ((("NH4+", 1.0), ("Cl-", 1.0)), salt * volume),
        ((("NH4+", 1.0), ("H+", -1.0)), ammonia * volume),
    )
