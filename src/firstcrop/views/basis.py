"""What a forecast rests on: the data rows used, doubtful ones first; whether the books close."""

from __future__ import annotations

from firstcrop.bank.records import Obtained
from firstcrop.forecast.records import Balance, Forecast, Resting
from firstcrop.views.rows import BasisRow

DOUBTFUL = (Obtained.MEMORY.value, Obtained.ESTIMATE.value, Obtained.PRACTICE.value)
CLOSED = 1e-9  # relative gap at which books are said to close


def basis_rows(forecast: Forecast) -> tuple[BasisRow, ...]:
    """Each data row once: from memory, estimates and common practice before the rest."""
    rows = tuple(_row(resting) for resting in dict.fromkeys(forecast.rests_on))
    return tuple(sorted(rows, key=lambda row: (_rank(row), row.label.lower())))


def _row(resting: Resting) -> BasisRow:
    doubt = resting.obtained in DOUBTFUL
    return BasisRow(resting.label, resting.value, resting.source, resting.obtained, doubt)


def _rank(row: BasisRow) -> int:
    return DOUBTFUL.index(row.obtained) if row.doubt else len(DOUBTFUL)


def books_sentence(balances: tuple[Balance, ...]) -> str:
    """One sentence on the balance of matter, charge and energy; empty when none was drawn up."""
    if not balances:
        return ""
    worst = max(balances, key=lambda balance: abs(balance.gap))
    if abs(worst.gap) <= CLOSED:
        kinds = ", ".join(balance.quantity for balance in balances)
        return f"The books close to {abs(worst.gap):.0e}: {kinds}."
    return (
        f"The books do not close: {worst.quantity} is off by {100.0 * worst.gap:.2g} %. "
        "Do not trust this forecast."
    )
