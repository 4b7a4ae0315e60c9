"""The account of a run in the notebook: its sheet forecast again, its weighings laid beside it."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from firstcrop.account.account import account
from firstcrop.account.entries import drying_losses, purities, weighings
from firstcrop.account.records import Account
from firstcrop.bank.bank import Bank
from firstcrop.forecast.records import Bottle, Forecast
from firstcrop.notebook.chain import in_force
from firstcrop.notebook.records import Entry
from firstcrop.run import forecast_sheet

Price = tuple[float, str] | None  # what a batch cost, and the currency


def account_of(
    sheet: str,
    entries: Iterable[Entry],
    bank: Bank,
    bottles: Iterable[Bottle] = (),
    price_of: Callable[[Forecast], Price] | None = None,
) -> tuple[Forecast, Account]:
    """The forecast the account stands on, and the account with the weighings, drying tests and
    purities written in the run. `price_of` tells what the batch of a forecast cost."""
    shelf, standing = tuple(bottles), in_force(entries)
    told = forecast_sheet(sheet, bank, bottles=shelf)
    price = price_of(told) if price_of is not None else None
    weighed, dried, pure = weighings(standing), drying_losses(standing), purities(standing)
    return told, account(told, bank, weighed, dried, pure, price, sheet, shelf)
