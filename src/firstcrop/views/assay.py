"""An assay as rows: the result, its budget, what to improve, what to take next time."""

from __future__ import annotations

import math
from dataclasses import dataclass
from types import MappingProxyType

from firstcrop.shelf.assay_records import Assay
from firstcrop.shelf.gum import Row
from firstcrop.shelf.titration_records import SamplePlan, Shown, TitrationForecast
from firstcrop.views.problems import clean

_UNITS = MappingProxyType(  # SI unit of an input: unit shown, its SI size
    {
        "m3": ("mL", 1e-6),
        "kg": ("g", 1e-3),
        "kg/m3": ("g/mL", 1e3),
        "kg/mol": ("g/mol", 1e-3),
        "mol/m3": ("mol/L", 1e3),
        "J/mol": ("kJ/mol", 1e3),
        "1": ("", 1.0),
    }
)
NEVER = "never"


@dataclass(frozen=True, slots=True)
class BudgetRow:
    """A line of the budget as printed: a reading's part, or (indented) what makes it up."""

    name: str
    value: str
    u: str
    share: str
    how: str
    inner: bool = False


@dataclass(frozen=True, slots=True)
class IndicatorRow:
    """An indicator as printed; errors as part of the titre."""

    name: str
    change: str
    error: str
    fits: str


def result_sentences(assay: Assay) -> tuple[str, ...]:
    """What was found, with its 90 and 95 % intervals and the replicates behind it."""
    m = assay.measured
    if assay.strength is not None:
        unit = assay.strength.unit
        size = assay.strength.value and m.value / assay.strength.value
        shown = _in(assay, m.half_width(0.95) / (size or 1.0))
        first = f"{assay.substance}: {assay.strength.text} (90 %); ± {shown} {unit} at 95 %."
    else:
        half = 100.0 * m.half_width(0.9)
        first = f"{assay.substance}: {100.0 * m.value:.2f} ± {half:.2g} mol % pure (90 %)."
    many = len(assay.replicates)
    behind = "one titration or weighing" if many == 1 else f"{many} replicates"
    free = "" if math.isinf(m.freedom) else f", {m.freedom:.0f} effective degrees of freedom"
    second = f"Method: {assay.method}; {behind}{free}."
    return (clean(first), second, *assay.says)


def _in(assay: Assay, si: float) -> str:
    """A half-width of the strength in its unit, two digits."""
    assert assay.strength is not None
    ratio = si / assay.strength.band if assay.strength.band else 0.0
    words = assay.strength.text.partition("±")[2].split()
    return f"{float(words[0]) * ratio:.2g}" if words and assay.strength.band else "0"


def budget_rows(assay: Assay) -> tuple[BudgetRow, ...]:
    """Each reading by its part in the variance, and under it the inputs that make it up."""
    found: list[BudgetRow] = []
    rows = assay.measured.rows
    for name, _, share in assay.measured.groups():
        own = [row for row in rows if (row.input.of or row.input.name) == name]
        if len(own) == 1:
            found.append(_row(own[0], name, share))
            continue
        shown = next((row.input.shown for row in own if row.input.shown), "")
        found.append(BudgetRow(clean(name), clean(shown), "", _percent(share), ""))
        inner = sorted(own, key=lambda r: -r.share)
        found.extend(_row(row, _tail(row), row.share, True) for row in inner)
    return tuple(found)


def _row(row: Row, name: str, share: float, inner: bool = False) -> BudgetRow:
    item = row.input
    unit, size = _UNITS.get(item.unit, (item.unit, 1.0))
    value = "" if item.value == 0.0 else f"{item.value / size:.6g} {unit}".strip()
    value = clean(item.shown) if item.shown and not inner else value
    if item.unit == "K" and item.value > 200.0:
        value = f"{item.value - 273.15:.1f} °C"
    return BudgetRow(
        clean(name), value, f"{item.u / size:.2g} {unit}".strip(), _percent(share),
        clean(item.label), inner,
    )  # fmt: skip


def _tail(row: Row) -> str:
    return row.input.name.partition(": ")[2] or row.input.name


def _percent(share: float) -> str:
    return f"{100.0 * share:.0f} %" if share >= 0.01 else "< 1 %"


def curve_sentences(forecast: TitrationForecast) -> tuple[str, ...]:
    """Equivalence points and the indicator to take, in words."""
    if not forecast.scale:
        volume = forecast.equivalences[0].volume * 1e6
        return (f"Equivalence at {volume:.2f} mL.", forecast.why)
    found = []
    for number, point in enumerate(forecast.equivalences):
        which = " (the one that counts)" if _counts(forecast, number) else ""
        scale, at = forecast.scale, f"{point.volume * 1e6:.2f} mL"
        found.append(
            f"Equivalence at {at}, {scale} {point.value:.2f}{which}: {point.words}; "
            f"{point.jump:.1f} {scale} within 0.5 % either side."
        )
    best = [i for i in forecast.indicators if i.fits]
    if best:
        name, (before, after) = best[0].name, best[0].colours
        error = f"about {100 * best[0].middle:+.2f} % of the titre off"
        found.append(f"Indicator: {name}, {before} to {after}; {error}.")
    elif not forecast.indicators:
        found.append(f"The end is seen by: {forecast.end}.")
    else:
        found.append("No indicator shows this end well: use a pH meter, or another method.")
    return tuple(found)


def _counts(forecast: TitrationForecast, number: int) -> bool:
    return number == forecast.counted and len(forecast.equivalences) > 1


def indicator_rows(forecast: TitrationForecast) -> tuple[IndicatorRow, ...]:
    """The six indicators that err least."""
    return tuple(_indicator(i) for i in forecast.indicators[:6])


def _indicator(shown: Shown) -> IndicatorRow:
    change = f"{shown.low:g} to {shown.high:g}, {shown.colours[0]} to {shown.colours[1]}"
    parts = [NEVER if math.isnan(e) else f"{100 * e:+.2f}" for e in
             (shown.begins, shown.middle, shown.ends)]  # fmt: skip
    return IndicatorRow(shown.name, change, " / ".join(parts) + " %", "yes" if shown.fits else "no")


def plan_sentences(plan: SamplePlan) -> tuple[str, ...]:
    """What to take, and the titre to expect over the spread of the strength."""
    low, _, high = (1e6 * t for t in plan.titre)
    if high - low < 0.05:
        return plan.words
    return (*plan.words, f"Over the spread of the strength: {low:.1f} to {high:.1f} mL.")
