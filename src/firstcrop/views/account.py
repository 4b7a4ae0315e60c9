"""An account as rows: yields, where the target is, figures, advice."""

from __future__ import annotations

import math
from dataclasses import dataclass

from firstcrop.account.records import Account, Share, Yield
from firstcrop.forecast.records import Number
from firstcrop.views.numbers import show_number

SMALL = 1e-3  # of theory; less is left out


@dataclass(frozen=True, slots=True)
class YieldRow:
    """A yield on one basis; crop 0 is all of them."""

    crop: int
    basis: str
    mass: str
    fraction: str


@dataclass(frozen=True, slots=True)
class ShareRow:
    """A place some of the target is in; `part` is of theory."""

    where: str
    known: str
    mass: str
    fraction: str
    part: float


@dataclass(frozen=True, slots=True)
class FigureRow:
    """A figure with its name."""

    name: str
    shown: str


@dataclass(frozen=True, slots=True)
class VerdictRow:
    """What should be known before the figures are believed."""

    message: str
    hint: str


@dataclass(frozen=True, slots=True)
class AccountRows:
    """An account for people."""

    product: str
    theory: str
    yields: tuple[YieldRow, ...]
    shares: tuple[ShareRow, ...]
    verdicts: tuple[VerdictRow, ...]
    figures: tuple[FigureRow, ...]
    second_crop: str


def account_rows(account: Account) -> AccountRows:
    """Every row of an account, in reading order."""
    theory = account.theory
    whole = theory.value if theory is not None else math.nan
    return AccountRows(
        product=account.product,
        theory=show_number(theory).full if theory is not None else "not known",
        yields=tuple(_yield(y) for y in account.yields),
        shares=tuple(_share(s, whole) for s in account.shares if abs(s.mass.value) > SMALL * whole),
        verdicts=tuple(VerdictRow(v.message, v.hint) for v in account.verdicts),
        figures=tuple(_figures(account)),
        second_crop=account.second_crop,
    )


def _yield(row: Yield) -> YieldRow:
    return YieldRow(
        row.crop, row.basis, show_number(row.mass).full, show_number(row.fraction, "fraction").full
    )


def _share(share: Share, whole: float) -> ShareRow:
    mass = share.mass
    part = Number(mass.value / whole, mass.low / whole, mass.high / whole, "1")
    return ShareRow(
        share.where, share.known.value, show_number(mass).full, show_number(part, "fraction").full,
        round(part.value, 4),
    )  # fmt: skip


def _figures(account: Account) -> list[FigureRow]:
    found = []
    for crop, number in account.waters:
        found.append(FigureRow(f"water found in crop {crop}, mol a mol", _shown(number, "1")))
    if account.atom_economy is not None:
        found.append(FigureRow("atom economy", _shown(account.atom_economy, "fraction")))
    if account.mass_intensity is not None:
        name = "put in, water and all, a kg of product"
        found.append(FigureRow(name, _shown(account.mass_intensity, "kg")))
    if account.cost is not None and math.isfinite(account.cost.value):
        currency = account.cost.unit.partition("/")[0]
        found.append(FigureRow("cost a gram", f"{account.cost.value / 1e3:.3g} {currency}"))
    return found


def _shown(number: Number, unit: str) -> str:
    return (
        f"not known: {number.why}" if math.isnan(number.value) else show_number(number, unit).full
    )
