"""Classes a mixture takes from the shares of its ingredients: skin, eyes, sensitisation, cancer
and the like, organs, water life (UN GHS 3.2 to 3.10 and 4.1)."""

from __future__ import annotations

from dataclasses import dataclass

from firstcrop.bank.ghs import MixtureLimit, mixture_limits
from firstcrop.cautions.ghs.ingredient import Ingredient

CUT_OFF = 0.01  # kg/kg below which an ingredient is left out of a sum (UN GHS 3.2.3.3.1)
WATER_CUT_OFF = 0.001  # the same for categories Acute 1 and Chronic 1, over M (UN GHS 4.1.3.1)
FULL = 1.0 - 1e-9
# an ingredient whose own limit says when it burns skin also damages eyes from there, and so on
LENDS = (("H318", "H314"),)


@dataclass(frozen=True, slots=True)
class Part:
    """How far one ingredient goes towards a class: share over limit."""

    name: str
    share: float
    limit: float
    chapter: str

    @property
    def weight(self) -> float:
        """1 is enough."""
        return self.share / self.limit


def by_share(ingredients: tuple[Ingredient, ...]) -> list[tuple[str, str]]:
    """(code, reason) of every class that follows from shares; acute toxicity apart."""
    own = {lim.code for i in ingredients for lim in i.limits}
    held = {code for i in ingredients for code in i.codes}
    found = []
    for result, rows in mixture_limits().items():
        if result in own or any(row.origin in held for row in rows):
            reason = _reason(result, rows, ingredients)
            if reason:
                found.append((result, reason))
    return found


def _reason(
    result: str, rows: tuple[MixtureLimit, ...], ingredients: tuple[Ingredient, ...]
) -> str:
    """Why the class applies, '' when it does not."""
    adding: list[Part] = []
    for i in ingredients:
        own = _own(result, i)
        if own is not None:
            adding.append(Part(i.name, i.share, own, "own limit"))
            continue
        adding += [p for p in (_summed(row, i) for row in rows if row.origin in i.codes) if p][:1]
        alone = [_alone(row, i) for row in rows if row.mode == "any" and row.origin in i.codes]
        for part in alone:
            if part is not None and part.weight >= FULL:
                return _told([part])
    parts = [p for p in adding if p.weight > 0.0]
    single = rows[0].mode == "any"
    if single:
        parts = [max(parts, key=lambda p: p.weight)] if parts else []
    return _told(parts) if sum(p.weight for p in parts) >= FULL else ""


def _own(result: str, i: Ingredient) -> float | None:
    """The ingredient's own limit for a class, where the law sets one."""
    own = i.own(result)
    lent = [i.own(lender) for borrower, lender in LENDS if borrower == result]
    values = [v for v in (own, *lent) if v is not None]
    if not values or (own is None and result in i.codes):
        return None
    return max(min(values), 1e-6)


def _summed(row: MixtureLimit, i: Ingredient) -> Part | None:
    if row.mode == "any":
        return None
    factor = _factor(row, i)
    leading = row.origin in ("H400", "H410")
    cut_off = WATER_CUT_OFF / factor if leading else CUT_OFF
    if i.share < cut_off:
        return None
    return Part(i.name, i.share, row.share / factor, row.chapter)


def _factor(row: MixtureLimit, i: Ingredient) -> float:
    if row.mode != "M":
        return 1.0
    own = i.detail.m_acute if row.origin == "H400" else i.detail.m_chronic
    return own or 1.0


def _alone(row: MixtureLimit, i: Ingredient) -> Part | None:
    if row.inorganic and not i.inorganic:
        return None
    return Part(i.name, i.share, row.share, row.chapter)


def _told(parts: list[Part]) -> str:
    named = " + ".join(
        f"{p.name} {p.share * 100:.3g} % of {p.limit * 100:.3g} %"
        for p in sorted(parts, key=lambda p: -p.weight)
    )
    chapters = "; ".join(dict.fromkeys(p.chapter for p in parts))
    return f"{named} ({chapters})"
