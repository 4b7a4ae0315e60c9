"""From what people write (a form, a line of a CSV file, options) to a bottle, or every mistake."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import fields
from datetime import date
from types import MappingProxyType
from typing import Any

from firstcrop.bank.bank import Bank
from firstcrop.bank.hazards import codes_at, hazards_by_substance, load_statements
from firstcrop.bank.lookup import feedstock_named, substance_named, unknown
from firstcrop.bank.records import Feedstock, Substance
from firstcrop.cautions.refuse import refused_name
from firstcrop.problems import Problem
from firstcrop.quantity.read import read_quantity, read_strength
from firstcrop.quantity.records import Basis, Kind, Quantity, Strength
from firstcrop.shelf.bottles import fold
from firstcrop.shelf.records import MASS, VOLUME, Bottle

# the cells of a bottle: heading in a CSV file and name of the option; example
CELLS = MappingProxyType(
    {
        "name": "acid 1",
        "product": "battery acid",
        "strength": "37 ± 1 % w/w",
        "size": "1 L",
        "lot": "L2231",
        "price": "9.80 EUR",
        "bought": "2026-03-01",
        "made": "2026-01-15",
        "opened": "2026-03-04",
        "stored at": "cellar",
        "temperature": "15 °C",
        "hazards": "H314 H290",
        "notes": "",
    }
)
_PRICE = re.compile(r"(?P<number>\d+(?:[.,]\d+)?)\s*(?P<currency>[^\W\d_]{1,4}|[€£$¥])?$")


def read_bottle(
    cells: Mapping[str, str], bank: Bank, before: Bottle | None = None
) -> Bottle | tuple[Problem, ...]:
    """The bottle written in `cells` (keys of CELLS). The strength of a known product is its usual
    one when none is written; hazards are the bank's for that strength when none are."""
    problems: list[Problem] = []
    cell = {key: " ".join(cells.get(key, "").split()) for key in CELLS}
    refusal = refused_name(cell["product"]) or refused_name(cell["name"])
    if refusal:
        return (Problem("sheet.refused", refusal),)
    product, substance = _product(cell, bank, problems)
    claim = _claim(cell["strength"], product, problems)
    size = _size(cell["size"], problems)
    price, currency = _price(cell["price"], problems)
    warm = _temperature(cell["temperature"], problems)
    bought, made, opened = (_day(k, cell[k], problems) for k in ("bought", "made", "opened"))
    hazards = _hazards(cell["hazards"], problems)
    if not cell["name"]:
        problems.append(
            Problem("shelf.name", "the bottle needs a name", hint="for example: acid 1")
        )
    if problems or substance is None or size is None:
        return tuple(problems)
    codes = hazards or usual_hazards(substance, claim)
    return Bottle(
        name=fold(cell["name"]), product=cell["product"], substance=substance.key,
        strength=claim, size=size.value, unit=MASS if size.kind is Kind.MASS else VOLUME,
        lot=cell["lot"], price=price, currency=currency, bought=bought, made=made, opened=opened,
        stored_at=cell["stored at"],
        temperature=warm, hazards=codes, notes=cell["notes"],
        added=before.added if before else "",
    )  # fmt: skip


def _product(
    cell: Mapping[str, str], bank: Bank, problems: list[Problem]
) -> tuple[Feedstock | None, Substance | None]:
    words = cell["product"]
    if not words:
        hint = "the product or the substance, for example: battery acid"
        problems.append(Problem("shelf.product", "what is in the bottle?", hint=hint))
        return None, None
    product = feedstock_named(bank, words)
    found = substance_named(bank, words)
    if found is None and product is not None:
        found = substance_named(bank, product.substance)
    if found is None:
        problem = unknown(bank, words)
        hint = problem.hint.replace("Otherwise add it to a Substances table.", "").strip()
        problems.append(Problem("shelf.product", problem.message, hint=hint))
    return product, found


def _claim(written: str, product: Feedstock | None, problems: list[Problem]) -> str:
    if not written:
        return product.strength if product else ""
    read = read_strength(written)
    if isinstance(read, Problem):
        problems.append(Problem("shelf.strength", f"strength: {read.message}", hint=read.hint))
    return written


def _size(written: str, problems: list[Problem]) -> Quantity | None:
    read = read_quantity(written) if written else None
    if isinstance(read, Quantity) and read.kind in (Kind.MASS, Kind.VOLUME) and read.value > 0.0:
        return read
    why = read.message if isinstance(read, Problem) else "how much is in the bottle?"
    problems.append(Problem("shelf.size", why, hint="a mass or a volume: 500 g, or 1 L"))
    return None


def _price(written: str, problems: list[Problem]) -> tuple[float | None, str]:
    if not written:
        return None, ""
    found = _PRICE.match(written)
    if not found:
        hint = "a number and a currency: 9.80 EUR"
        problems.append(Problem("shelf.price", f"“{written}” is no price", hint=hint))
        return None, ""
    return float(found["number"].replace(",", ".")), (found["currency"] or "").upper()


def _temperature(written: str, problems: list[Problem]) -> float | None:
    if not written:
        return None
    read = read_quantity(written)
    if isinstance(read, Quantity) and read.kind is Kind.TEMPERATURE:
        return read.value
    message = f"“{written}” is no temperature"
    problems.append(Problem("shelf.temperature", message, hint="write: 15 °C"))
    return None


def _day(key: str, written: str, problems: list[Problem]) -> str:
    if not written:
        return ""
    try:
        day = date.fromisoformat(written[:10])
    except ValueError:
        message = f"{key}: “{written}” is no date"
        problems.append(Problem("shelf.date", message, hint="write: 2026-03-01"))
        return ""
    return day.isoformat()


def _hazards(written: str, problems: list[Problem]) -> tuple[str, ...]:
    codes = tuple(dict.fromkeys(re.split(r"[\s,;]+", written.upper()))) if written else ()
    for code in codes:
        if code not in load_statements():
            hint = "write the codes of the label with blanks between: H314 H290"
            problems.append(Problem("shelf.hazard", f"“{code}” is no code of a hazard", hint=hint))
    return codes


def usual_hazards(substance: Substance, claim: str) -> tuple[str, ...]:
    """The bank's codes at the upper end of the claim; of the pure substance when it has none."""
    row = hazards_by_substance().get(substance.key)
    if row is None:
        return ()
    read = read_strength(claim) if claim else None
    known = isinstance(read, Strength) and read.basis is Basis.WW
    top = read.value + read.band if known and isinstance(read, Strength) else 1.0
    return codes_at(row, min(top, 1.0) if math.isfinite(top) else 1.0)


def hazard_words(codes: tuple[str, ...]) -> tuple[str, ...]:
    """Codes with what they say, one a sentence."""
    known = load_statements()
    return tuple(f"{code}: {known[code].text}" if code in known else code for code in codes)


def written(bottle: Bottle) -> dict[str, Any]:
    """Everything that is written about a bottle, for an edit."""
    fixed = ("id", "name", "edition", "added")
    return {f.name: getattr(bottle, f.name) for f in fields(Bottle) if f.name not in fixed}
