"""Numbers out of numbers: 90 % half-widths combined in quadrature (JCGM 100:2008, 5.1.2)."""

from __future__ import annotations

import math
from collections.abc import Iterable

from firstcrop.forecast.records import Number, Term, Working


def unknown(unit: str, why: str) -> Number:
    """A number nobody knows, and why."""
    return Number(math.nan, math.nan, math.nan, unit, None, why)


def measured(value: float, band: float, unit: str, working: Working | None = None) -> Number:
    """A reading with its 90 % half-width."""
    return Number(value, value - band, value + band, unit, working)


def ratio(over: Number, under: Number, unit: str, labels: tuple[str, str]) -> Number:
    """`over` divided by `under`; relative half-widths in quadrature, each side by itself."""
    if not (math.isfinite(over.value) and math.isfinite(under.value)) or under.value <= 0.0:
        return unknown(unit, over.why or under.why or f"{labels[1]} is not known")
    value = over.value / under.value
    down = math.hypot(over.value - over.low, value * (under.high - under.value)) / under.value
    up = math.hypot(over.high - over.value, value * (under.value - under.low)) / under.value
    terms = (
        Term(labels[0], over.value, over.unit),
        Term(f"1 / {labels[1]}", 1.0 / under.value, f"1/{under.unit}"),
    )
    return Number(value, value - down, value + up, unit, Working(value, unit, "product", terms))


def total(parts: Iterable[tuple[str, float, Number]], unit: str) -> Number:
    """The sum of (label, sign, number); half-widths in quadrature."""
    listed = tuple(parts)
    value = math.fsum(sign * n.value for _, sign, n in listed)
    down = math.sqrt(math.fsum(_side(n, sign < 0) ** 2 for _, sign, n in listed))
    up = math.sqrt(math.fsum(_side(n, sign > 0) ** 2 for _, sign, n in listed))
    terms = tuple(Term(label, sign * n.value, unit) for label, sign, n in listed)
    return Number(value, value - down, value + up, unit, Working(value, unit, "sum", terms))


def _side(number: Number, above: bool) -> float:
    return number.high - number.value if above else number.value - number.low


def scaled(number: Number, factor: Number, unit: str, labels: tuple[str, str]) -> Number:
    """The product of two numbers; relative half-widths in quadrature."""
    value = number.value * factor.value
    down = math.hypot((number.value - number.low) * factor.value,
                      number.value * (factor.value - factor.low))  # fmt: skip
    up = math.hypot((number.high - number.value) * factor.value,
                    number.value * (factor.high - factor.value))  # fmt: skip
    terms = (
        Term(labels[0], number.value, number.unit),
        Term(labels[1], factor.value, factor.unit),
    )
    return Number(value, value - down, value + up, unit, Working(value, unit, "product", terms))
