"""What repeating says: the scatter of replicates as a factor on their mean (GUM 4.2)."""

from __future__ import annotations

import math
from collections.abc import Callable

from firstcrop.bank.practice import load_practice
from firstcrop.shelf.assay_book import Book, Point, Term
from firstcrop.shelf.assay_outliers import critical, grubbs
from firstcrop.shelf.assay_readings import Reading
from firstcrop.shelf.gum import Input, Shape, deviation, mean

FINE = 2.0  # last digits that good readings may lie apart: no strays

Factor = Callable[[Point], float]


def centre(book: Book) -> Point:
    """The inputs at their values."""
    return {i.name: i.value for i in book.inputs}


def repeats(book: Book, each: Term, row: Reading | None, name: str = "repeatability") -> Factor:
    """A factor of value 1 whose uncertainty is that of the mean of the replicates of `each`.

    A single value has no scatter: the end point is then given the usual uncertainty (common
    practice) with a warning. Scatter below what the last digit can show counts as that.
    """
    values = tuple(float(v) for v in each(centre(book)))
    if not all(math.isfinite(v) for v in values) or mean(values) == 0.0:
        return _once
    if len(values) == 1 and name != "repeatability" and book.has("repeatability"):
        return _once  # it is in the repeatability stated for the result
    _flag(book, values, row, name)
    stated = book.readings.rows.get("repeatability") if name == "repeatability" else None
    item = _stated(stated, values) if stated else _scatter(book, values, row, name)
    book.add(item)
    return lambda x: x[name]


def _once(x: Point) -> float:
    return 1.0


def _stated(row: Reading, values: tuple[float, ...]) -> Input:
    """As known from elsewhere, or the replicates' own scatter if that is larger."""
    own = deviation(values) / math.sqrt(len(values)) / abs(mean(values)) if len(values) > 1 else 0.0
    if own > row.numbers[0]:
        label = f"scatter of {len(values)} replicates, larger than the stated repeatability"
        return Input("repeatability", 1.0, own, "1", Shape.STUDENT, len(values) - 1.0, label,
                     of="repeatability")  # fmt: skip
    return Input("repeatability", 1.0, row.numbers[0], label="as stated", of="repeatability")


def _scatter(book: Book, values: tuple[float, ...], row: Reading | None, name: str) -> Input:
    count = len(values)
    if count == 1:
        return _single(book, row, name)
    spread = deviation(values) / abs(mean(values))
    least = _resolution(row)
    label = f"scatter of {count} replicates"
    if spread < least:
        label = f"{label}, less than their last digit can show: that is taken"
        return Input(name, 1.0, least / math.sqrt(count), "1", label=label, of=name)
    if count == 2:
        message = "Two replicates say little about their scatter, so the ± is wide."
        book.warn("few", message, row, "A third one would narrow it most.")
    return Input(
        name, 1.0, spread / math.sqrt(count), "1", Shape.STUDENT, count - 1.0, label, "", name
    )


def _single(book: Book, row: Reading | None, name: str) -> Input:
    if row is None or row.kind != "volume":
        message = "One replicate only: its repeatability is not known and not counted."
        book.warn("single", message, row, "Repeat it, or add a row 'repeatability'.")
        return Input(name, 1.0, 0.0, "1", label="not known: one replicate", of=name)
    usual = load_practice("assay_practice")["end_point"]
    message = (
        f"One replicate only of '{row.name}': its end point is taken to be good to "
        f"{usual.value * 1e6:g} mL (common practice)."
    )
    book.warn("single", message, row, "Repeat it twice more.")
    u = usual.value / row.numbers[0]
    return Input(name, 1.0, u, "1", label=usual.datum.label, source=usual.datum.source, of=name)


def _resolution(row: Reading | None) -> float:
    """Relative standard uncertainty of two readings rounded to the last digit (GUM F.2.2.1)."""
    if row is None or not row.values:
        return 0.0
    return max(v.digit for v in row.values) / math.sqrt(6.0) / mean(row.numbers)


def _flag(book: Book, values: tuple[float, ...], row: Reading | None, name: str) -> None:
    found = grubbs(values)
    if found is None or found[1] <= critical(len(values)):
        return
    index, size = found
    near = FINE * max((v.digit for v in row.values), default=0.0) / mean(row.numbers) if row else 0
    if abs(values[index] / mean(values) - 1.0) <= near:
        return
    many = row is not None and len(row.values) == len(values)
    which = (
        f" ({row.values[index].value * 1e6:g} mL)" if row and many and row.kind == "volume" else ""
    )
    message = (
        f"Replicate {index + 1}{which} stands apart from the others (Grubbs G = {size:.3g}, by "
        f"chance above {critical(len(values)):.3g} once in twenty series). It is kept."
    )
    hint = "Leave it out only if you know what went wrong; else repeat the titration."
    book.warn("outlier", message, row, hint)
    book.sources.setdefault("grubbs1969")
