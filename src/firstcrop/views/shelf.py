"""Bottles as rows: text ready to print for the terminal and the page alike."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from firstcrop.quantity.records import Basis, Kind, Strength
from firstcrop.quantity.show import NOT_KNOWN, format_spread, format_value
from firstcrop.quantity.write import write_strength
from firstcrop.shelf.records import (
    HALF,
    MASS,
    VOLUME,
    Assay,
    Bottle,
    Cost,
    Draw,
    Level,
    Recipe,
    Today,
)

UNITS = (
    (Basis.WW, "% w/w", 0.01), (Basis.WV, "% w/v", 10.0), (Basis.VV, "% v/v", 0.01),
    (Basis.MOLARITY, "mol/L", 1e3), (Basis.MOLALITY, "mol/kg", 1.0),
    (Basis.MASS_CONCENTRATION, "g/L", 1.0), (Basis.NORMALITY, "N", 1e3),
)  # fmt: skip
LOW = 0.1  # of a bottle left, below which it is nearly empty


@dataclass(frozen=True, slots=True)
class BottleRow:
    """A bottle as people see it. `part` is what is left of it, 0 to 1."""

    name: str
    product: str
    substance: str
    claim: str
    today: str
    how: str
    titrate: bool
    left: str
    size: str
    part: float
    low: bool
    price: str
    stored: str
    lot: str
    bought: str
    made: str
    opened: str
    hazards: str
    notes: str
    edition: int
    law: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()  # the hazards in words


@dataclass(frozen=True, slots=True)
class DrawRow:
    """One draw as people see it."""

    at: str
    who: str
    amount: str
    sheet: str
    notes: str


@dataclass(frozen=True, slots=True)
class AssayRow:
    """One assay as people see it."""

    at: str
    who: str
    method: str
    strength: str
    notes: str


@dataclass(frozen=True, slots=True)
class RecipeRow:
    """A stock solution as people see it."""

    title: str
    facts: tuple[tuple[str, str], ...]
    steps: tuple[str, ...]
    sheet: str


@dataclass(frozen=True, slots=True)
class CostRow:
    """The cost of a run as people see it: (material, bottle, takes, costs, runs left)."""

    lines: tuple[tuple[str, str, str, str, str], ...]
    sentences: tuple[str, ...]


def cost_row(found: Cost) -> CostRow:
    """What a run takes and costs, what ends first, what to buy."""
    lines = tuple(
        (
            x.material,
            x.bottle or "—",
            show_amount(x.amount, x.unit),
            show_price(x.price, x.currency) or f"not counted: {x.why}",
            f"{x.batches:.1f}" if math.isfinite(x.batches) else "",
        )
        for x in found.lines
    )
    return CostRow(lines, tuple(_cost_sentences(found)))


def _cost_sentences(found: Cost) -> Iterator[str]:
    for currency, total in found.totals:
        yield f"A run costs {show_price(total, currency)}."
        if found.product > 0.0:
            gram = total / (found.product * 1e3)
            yield f"That is {gram:.3g} {currency} to a gram of dry product."
    if found.limits:
        runs = "no whole run" if found.batches < 1 else f"{found.batches:.0f} more"
        yield f"{found.limits} ends first: it is enough for {runs}."
    for name, amount, unit in found.buy:
        yield f"Buy for {found.runs} run(s): {show_amount(amount, unit)} of {name}."
    if not found.limits:
        yield "The sheet names no bottle that is on the shelf."


def bottle_row(
    today: Today, law: tuple[str, ...] = (), warnings: tuple[str, ...] = ()
) -> BottleRow:
    """A bottle, how much is left and how strong it is today."""
    level, b = today.level, today.level.bottle
    part = max(level.left / b.size, 0.0)
    return BottleRow(
        b.name, b.product, b.substance, b.strength or "none", show_strength(today.strength),
        today.note, today.titrate, show_amount(max(level.left, 0.0), b.unit),
        show_amount(b.size, b.unit), part, part < LOW, show_price(b.price, b.currency),
        _stored(b), b.lot, b.bought, b.made, b.opened, " ".join(b.hazards), b.notes, b.edition, law,
        warnings,
    )  # fmt: skip


def level_sentence(level: Level) -> str:
    """What is left in a bottle, for the answer to a draw."""
    b = level.bottle
    return f"{b.name}: {show_amount(max(level.left, 0.0), b.unit)} left"


def draw_row(draw: Draw, unit: str) -> DrawRow:
    """A draw; what was put back is told as such."""
    amount = show_amount(abs(draw.amount), unit)
    told = amount if draw.amount >= 0.0 else f"{amount} back"
    return DrawRow(draw.at[:16].replace("T", " "), draw.who, told, draw.sheet, draw.notes)


def assay_row(assay: Assay) -> AssayRow:
    """An assay with its 90 % half-width."""
    strength = Strength(assay.value, Basis(assay.basis), assay.standard_uncertainty * HALF)
    at = assay.taken_at[:16].replace("T", " ")
    return AssayRow(at, assay.who, assay.method, show_strength(strength), assay.notes)


def recipe_row(r: Recipe) -> RecipeRow:
    """What to take, how hot it gets, what to do."""
    feed = show_amount(r.feed, MASS)
    if r.liquid:
        feed += f", {show_amount(r.feed_volume, VOLUME)}"
    facts = [
        (f"from {r.bottle}", feed),
        ("water in all", show_amount(r.water_volume, VOLUME)),
        ("makes", f"{show_amount(r.volume, VOLUME)}, {show_amount(r.mass, MASS)}"),
        ("strength", f"{r.fraction * 100:.4g} % w/w of {r.substance}"),
        ("mixed at once", format_value(r.peak, Kind.TEMPERATURE)),
    ]
    if r.spread:
        facts.append(("uncertain by", f"{r.spread * 100:.2g} %, as the bottle's strength is"))
    title = f"{write_strength(r.strength)} {r.substance}"
    return RecipeRow(title, tuple(facts), r.steps, r.sheet)


def show_amount(value: float, unit: str) -> str:
    """`350 mL`, `120 g`."""
    return format_value(value, Kind.MASS if unit == MASS else Kind.VOLUME)


def show_price(price: float | None, currency: str) -> str:
    """`9.80 EUR`; empty when there is none."""
    return "" if price is None else f"{price:.2f} {currency}".strip()


def show_strength(strength: Strength | None) -> str:
    """`34.6 ± 0.2 % w/w`, the spread with two figures; `not known` when nobody knows."""
    if strength is None:
        return NOT_KNOWN
    if strength.basis is Basis.DENSITY:
        return f"density {format_spread(strength.value, strength.band, Kind.DENSITY, 4)}"
    if strength.basis is Basis.SATURATED:
        return f"saturated at {format_spread(strength.value, strength.band, Kind.TEMPERATURE)}"
    unit, size = next((unit, size) for basis, unit, size in UNITS if basis is strength.basis)
    return f"{format_spread(strength.value / size, strength.band / size, Kind.NUMBER)} {unit}"


def _stored(bottle: Bottle) -> str:
    if bottle.temperature is None:
        return bottle.stored_at
    warm = format_value(bottle.temperature, Kind.TEMPERATURE, 2)
    return f"{bottle.stored_at}, {warm}" if bottle.stored_at else warm
