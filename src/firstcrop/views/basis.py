"""What a forecast rests on: the data rows used, doubtful ones first; whether the books close."""

from __future__ import annotations

import re
from collections import Counter

from firstcrop.bank.records import Obtained
from firstcrop.forecast.records import Balance, Forecast, Resting
from firstcrop.views.rows import BasisRow, DoubtRow

DOUBTFUL = (Obtained.MEMORY.value, Obtained.ESTIMATE.value, Obtained.PRACTICE.value)
AT_TEMPERATURE = re.compile(r" at −?-?[\d.,]+ °C")
YEAR = re.compile(r"\b(?:18|19|20)\d\d\b")
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


def doubt_rows(forecast: Forecast) -> tuple[DoubtRow, ...]:
    """One line for each doubtful origin, points of one curve counted together."""
    rows = [row for row in basis_rows(forecast) if row.doubt]
    found = []
    for obtained in DOUBTFUL:
        names = Counter(curve_name(row.label) for row in rows if row.obtained == obtained)
        words = [name if n == 1 else f"{name} ({n} values)" for name, n in names.items()]
        if words:
            found.append(DoubtRow(obtained, ", ".join(words)))
    return tuple(found)


def curve_name(label: str) -> str:
    """A label without the temperature of its point: points of one curve share a name."""
    return AT_TEMPERATURE.sub("", label)


def source_names(forecast: Forecast) -> tuple[str, ...]:
    """Short names of the sources of values beyond doubt, the most used first."""
    rows = (row for row in basis_rows(forecast) if not row.doubt and row.source)
    return tuple(name for name, _ in Counter(short_name(r.source) for r in rows).most_common())


def short_name(citation: str) -> str:
    """First name and year of a citation: "Wagman 1982"."""
    first = re.split(r"[,(:;]", citation, maxsplit=1)[0].strip()
    year = YEAR.search(citation)
    return first if year is None or year.group() in first else f"{first} {year.group()}"


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
