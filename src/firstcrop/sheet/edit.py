"""Change a sheet's text in one place and leave the rest of it as it was written."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from decimal import Decimal

from firstcrop.problems import Place, Problem
from firstcrop.quantity.records import Kind, Quantity
from firstcrop.quantity.write import write_quantity
from firstcrop.sheet.decode import normalise
from firstcrop.sheet.measures import measure
from firstcrop.sheet.mistakes import mistake
from firstcrop.sheet.read import read_sheet
from firstcrop.sheet.records import Clause, Equivalents, Preparation

_AMOUNTS = ("amount", "solvent_amount", "into_amount", "to_volume", "to_mass")
_EXTENSIVE = frozenset({Kind.MASS, Kind.VOLUME, Kind.AMOUNT, Kind.DROPS})
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_PLAIN = re.compile(r"^[^%^×x½¼¾⅓⅔/]*$")
_LEAST_DIGITS = 3


def fill_blank(text: str, place: Place, value: str) -> str | Problem:
    """The text with the `?` at `place` replaced by `value`, such as "112 mL" or "6 portions".

    Words of `value` that already stand beside the blank ("portions" behind it, "pH" before it)
    are not written twice. Problem `blank-gone` when no `?` stands there.
    """
    lines = normalise(text).split("\n")
    line = lines[place.line - 1] if 0 < place.line <= len(lines) else ""
    start = place.column - 1
    end = start + max(1, place.length)
    if line[start : start + 1] != "?":
        return mistake("blank-gone", place, text=line[start:end])
    before, after = line[:start], line[end:]
    unit = line[start + 1 : end].strip()
    value = _without_repeats(value.strip(), before, after)
    bare = bool(_NUMBER.fullmatch(value))
    filled = f"{value} {unit}" if bare and unit else value
    lines[place.line - 1] = before + filled + after
    return "\n".join(lines)


def _without_repeats(value: str, before: str, after: str) -> str:
    number, _, words = value.partition(" ")
    if words and after.lstrip().lower().startswith(words.lower()):
        value = number
    if before.rstrip().lower().endswith("ph") and value.lower().startswith("ph"):
        value = value[2:].lstrip()
    return value


def fill_blanks(text: str, answers: Iterable[tuple[Place, str]]) -> str | Problem:
    """Several blanks at once; each Place is that of the text as given."""
    ordered = sorted(answers, key=lambda a: (a[0].line, a[0].column), reverse=True)
    for place, value in ordered:
        filled = fill_blank(text, place, value)
        if isinstance(filled, Problem):
            return filled
        text = filled
    return text


def scale_sheet(text: str, factor: float) -> str | Problem:
    """The text with every amount of its steps times `factor`, all else unchanged.

    Masses, volumes, moles and drops are scaled, also those to boil down or make up to;
    temperatures, times, rates, equivalents, fractions and what was observed are not.
    Problem `scale-factor` unless `factor` is a finite number above 0.
    """
    if not 0.0 < factor < float("inf"):
        return mistake("scale-factor", Place(1), text=f"{factor:g}")
    lines = normalise(text).split("\n")
    spots = sorted(set(_spots(read_sheet(text).preparation)), reverse=True)
    for line, column, length, written in spots:
        old = lines[line - 1]
        at = old.find(written, column - 1, column - 1 + length)
        if at >= 0:
            lines[line - 1] = old[:at] + scaled_text(written, factor) + old[at + len(written) :]
    return "\n".join(lines)


def _spots(preparation: Preparation) -> Iterator[tuple[int, int, int, str]]:
    """Line, column, length and text of every amount that scales."""
    for step in preparation.steps:
        for clause in step.clauses:
            yield from _amounts(clause)


def _amounts(clause: Clause) -> Iterator[tuple[int, int, int, str]]:
    for name in _AMOUNTS:
        value = getattr(clause, name)
        if isinstance(value, Equivalents) or not isinstance(value, Quantity):
            continue
        if value.kind in _EXTENSIVE and value.text:
            place = clause.at_field(name)
            yield place.line, place.column, place.length, value.text


def scaled_text(written: str, factor: float) -> str:
    """`7.0 g` times 2.5 is `17.5 g`: the number changes, the way it is written does not."""
    quantity = measure(written)
    if not isinstance(quantity, Quantity):
        return written
    value, band = (float(f"{v * factor:.6g}") for v in (quantity.value, quantity.band))
    meant = replace(quantity, value=value, band=band, text="")
    if _PLAIN.match(written):
        text = _NUMBER.sub(lambda m: _times(m.group(), factor), written)
        again = measure(text)
        if isinstance(again, Quantity) and abs(again.value - meant.value) <= 0.01 * meant.value:
            return text
    return write_quantity(meant)


def _times(number: str, factor: float) -> str:
    """A decimal times a factor, to as many digits as it had and three at least."""
    comma = "," in number
    value = Decimal(number.replace(",", "."))
    digits = max(_LEAST_DIGITS, len(number.replace(",", "").replace(".", "").lstrip("0")))
    product = value * Decimal(repr(factor))
    if not product:
        return number
    places = digits - 1 - product.adjusted()
    rounded = round(product, places) if places > 0 else Decimal(int(round(product, places)))
    text = f"{rounded:f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return text.replace(".", ",") if comma else text
