"""The account of a run in the notebook: its sheet forecast again, its weighings laid beside it."""

from __future__ import annotations

from collections.abc import Iterable

from firstcrop.account.account import account
from firstcrop.account.entries import weighings
from firstcrop.account.records import Account, DryingLoss, Purity
from firstcrop.bank.bank import Bank
from firstcrop.forecast.records import Bottle, Forecast
from firstcrop.notebook.chain import in_force
from firstcrop.notebook.records import Entry
from firstcrop.run import forecast_sheet


def account_of(
    sheet: str,
    entries: Iterable[Entry],
    bank: Bank,
    bottles: Iterable[Bottle] = (),
    losses: Iterable[DryingLoss] = (),
    purities: Iterable[Purity] = (),
    price: tuple[float, str] | None = None,
) -> tuple[Forecast, Account]:
    """The forecast the account stands on, and the account."""
    shelf = tuple(bottles)
    told = forecast_sheet(sheet, bank, bottles=shelf)
    weighed = weighings(in_force(entries))
    return told, account(told, bank, weighed, losses, purities, price, sheet, shelf)
