"""Cautions as rows, gravest first."""

from __future__ import annotations

from firstcrop.forecast.records import Caution, Forecast
from firstcrop.problems import Severity
from firstcrop.views.rows import CautionRow

ORDER = (Severity.ERROR, Severity.WARNING, Severity.NOTE)
WORDS = ("danger", "warning", "note")


def caution_rows(forecast: Forecast) -> tuple[CautionRow, ...]:
    """Every caution, by gravity and then in step order."""
    ordered = sorted(forecast.cautions, key=lambda c: (ORDER.index(c.severity), c.step, c.code))
    return tuple(caution_row(caution) for caution in ordered)


def caution_row(caution: Caution) -> CautionRow:
    """One caution as text."""
    return CautionRow(
        code=caution.code,
        severity=WORDS[ORDER.index(caution.severity)],
        where=_where(caution),
        message=caution.message,
        why=caution.why,
        remedy=caution.remedy,
        source=caution.source,
        unverified=caution.unverified,
    )


def _where(caution: Caution) -> str:
    if caution.step > 0:
        return f"step {caution.step}"
    return f"line {caution.place.line}" if caution.place.line > 0 else "the whole sheet"
