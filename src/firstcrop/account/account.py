"""The account of a run: forecast, weighings and tests in; yields, balance and advice out."""

from __future__ import annotations

import math
from collections.abc import Iterable

from firstcrop.account.economy import atom_economy, mass_intensity, target_formula
from firstcrop.account.hydrate import waters
from firstcrop.account.numbers import ratio, total, unknown
from firstcrop.account.records import Account, DryingLoss, Purity, Weighing
from firstcrop.account.rest import rest_verdict, shares
from firstcrop.account.second import advice, further_crop
from firstcrop.account.yields import best_masses, crop_masses, verdicts, yields
from firstcrop.bank.bank import Bank
from firstcrop.forecast.records import Bottle, Forecast, Number


def account(
    forecast: Forecast,
    bank: Bank,
    weighings: Iterable[Weighing] = (),
    losses: Iterable[DryingLoss] = (),
    purities: Iterable[Purity] = (),
    price: tuple[float, str] | None = None,
    text: str = "",
    bottles: Iterable[Bottle] = (),
) -> Account:
    """All that can be said of a run. `price` is what the batch cost, with its currency; with the
    sheet's `text` a further crop is looked for too (two more simulations)."""
    weighed, dried, pure = tuple(weighings), tuple(losses), tuple(purities)
    target = target_formula(forecast, bank)
    masses = crop_masses(bank, target, weighed, dried, pure)
    best = best_masses(masses)
    parts = shares(forecast, best)
    gap = rest_verdict(parts)
    product = _product(best)
    working = forecast.theory.working if forecast.theory else None
    return Account(
        product=target or forecast.preparation.target,
        theory=forecast.theory,
        limiting=working.terms[0].label if working and working.terms else "",
        yields=yields(masses, forecast.theory),
        shares=parts,
        verdicts=(*verdicts(masses, forecast.theory), *((gap,) if gap else ())),
        waters=tuple((loss.crop, waters(bank, loss)) for loss in dried),
        atom_economy=atom_economy(forecast, bank),
        mass_intensity=mass_intensity(forecast, product),
        cost=_cost(price, product),
        second_crop=_second(text, forecast, bank, bottles),
    )


def _product(best: dict[int, tuple[str, Number]]) -> Number:
    if not best:
        return unknown("kg", "no crop was weighed")
    return total(((f"crop {n}", 1.0, mass) for n, (_, mass) in best.items()), "kg")


def _cost(price: tuple[float, str] | None, product: Number) -> Number:
    if price is None:
        return unknown("1/kg", "no price is known")
    money, currency = price
    whole = Number(money, money, money, currency)
    return ratio(whole, product, f"{currency}/kg", ("what was used", "product"))


def _second(text: str, forecast: Forecast, bank: Bank, bottles: Iterable[Bottle]) -> str:
    theory = forecast.theory
    if not text or theory is None or not math.isfinite(theory.value):
        return ""
    further = further_crop(text, forecast, bank, bottles)
    return advice(further, theory.value, len(forecast.crops) + 1)
