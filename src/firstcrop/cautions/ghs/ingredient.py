"""What a mixture is made of, as the rules of classification see it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from firstcrop.bank.ghs import Detail, load_details
from firstcrop.bank.hazards import Limit, hazards_by_substance
from firstcrop.bank.records import Substance

NOTHING = Detail(MappingProxyType({}))
FORMS = MappingProxyType({"solid": "dust", "liquid": "vapour", "gas": "gas"})


@dataclass(frozen=True, slots=True)
class Ingredient:
    """`share` kg/kg; `codes` and own `limits` of the pure substance; `form` in which it would be
    breathed: dust, vapour or gas. `known` False: nobody has looked at it."""

    name: str
    share: float
    codes: tuple[str, ...] = ()
    limits: tuple[Limit, ...] = ()
    form: str = "dust"
    detail: Detail = NOTHING
    inorganic: bool = False  # an acid, base or salt without an organic part
    known: bool = True

    def own(self, code: str) -> float | None:
        """The share from which the law's own limit gives this ingredient a code."""
        return min((lim.low for lim in self.limits if lim.code == code), default=None)


def ingredient(substance: Substance, share: float) -> Ingredient:
    """A substance of the bank, or one the sheet defines with its H codes."""
    codes, limits, known = _row(substance.key, substance.hazards)
    return Ingredient(
        name=substance.key,
        share=share,
        codes=codes,
        limits=limits,
        form=FORMS.get(substance.phase, "dust"),
        detail=load_details().get(substance.key, NOTHING),
        inorganic=_inorganic(substance.formula),
        known=known,
    )


def unknown(name: str, share: float) -> Ingredient:
    """A part of a mixture nobody can name, or knows the hazards of."""
    return Ingredient(name, share, known=False)


@lru_cache(maxsize=1024)
def _row(key: str, own: tuple[str, ...]) -> tuple[tuple[str, ...], tuple[Limit, ...], bool]:
    hazard = hazards_by_substance().get(key)
    if hazard is None:
        return own, (), bool(own)
    return hazard.codes, hazard.limits, True


@lru_cache(maxsize=1024)
def _inorganic(formula: str) -> bool:
    """No carbon bound to hydrogen or carbon: told roughly, by the elements in the formula."""
    rest = formula.replace("CO3", "").replace("Ca", "").replace("Cl", "").replace("Cu", "")
    for metal in ("Co", "Cr", "Cd", "Cs"):
        rest = rest.replace(metal, "")
    return "C" not in rest


def total(ingredients: Iterable[Ingredient]) -> float:
    """Sum of the shares."""
    return sum(i.share for i in ingredients)
