"""A measured result and the budget of its uncertainty.

JCGM 100:2008 (GUM): first-order propagation with numeric sensitivity coefficients (5.1), standard
uncertainties of type A and B (4.2, 4.3), effective degrees of freedom (G.4.1), coverage (G.3).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from firstcrop.quantity.records import Quantity, Strength

SOURCE = "JCGM 100:2008, Guide to the expression of uncertainty in measurement"
SOUND = 1e-6  # step of a derivative relative to the value, where there is no uncertainty to go by


class Shape(StrEnum):
    """How an input is taken to be distributed (GUM 4.3, JCGM 101 6.4)."""

    NORMAL = "normal"
    RECTANGULAR = "rectangular"
    TRIANGULAR = "triangular"
    STUDENT = "t"  # from replicates


@dataclass(frozen=True, slots=True)
class Input:
    """One input of a measurement; `u` its standard uncertainty, both in `unit`.

    `of` names the reading it belongs to, so that a budget can be read reading by reading.
    """

    name: str
    value: float
    u: float
    unit: str = "1"
    shape: Shape = Shape.NORMAL
    freedom: float = math.inf
    label: str = ""
    source: str = ""
    of: str = ""
    shown: str = ""  # that reading as it was written


@dataclass(frozen=True, slots=True)
class Row:
    """An input's line of the budget; contribution in the unit of the result, share of u²."""

    input: Input
    sensitivity: float
    contribution: float
    share: float


@dataclass(frozen=True, slots=True)
class Measured:
    """A result: value, combined standard uncertainty, effective degrees of freedom, budget."""

    value: float
    u: float
    freedom: float
    rows: tuple[Row, ...]

    def half_width(self, coverage: float = 0.9) -> float:
        """Half-width of the interval that holds `coverage` of what may be meant (GUM G.3.2)."""
        return self.u * factor(coverage, self.freedom)

    def groups(self) -> tuple[tuple[str, float, float], ...]:
        """What each reading adds: its name, its contribution and its share, largest first."""
        names = dict.fromkeys(row.input.of or row.input.name for row in self.rows)
        sums = ((n, _root(r.contribution for r in _of(self.rows, n))) for n in names)
        total = self.u**2 or 1.0
        found = [(name, size, size**2 / total) for name, size in sums]
        return tuple(sorted(found, key=lambda group: -group[1]))


Model = Callable[[Mapping[str, float]], float]


def propagate(inputs: Sequence[Input], model: Model) -> Measured:
    """The value of `model` at the inputs and its budget; inputs are independent of each other.

    An influence two readings share (a temperature) must be one input that both use.
    """
    at = {i.name: i.value for i in inputs}
    if len(at) != len(inputs):
        raise ValueError("two inputs have one name")
    slopes = [_slope(model, at, i) for i in inputs]
    parts = [abs(s) * i.u for s, i in zip(slopes, inputs, strict=True)]
    u = _root(parts)
    rows = tuple(
        Row(i, s, p, (p / u) ** 2 if u else 0.0)
        for i, s, p in zip(inputs, slopes, parts, strict=True)
    )
    return Measured(model(at), u, _freedom(rows, u), rows)


def _slope(model: Model, at: Mapping[str, float], of: Input) -> float:
    """Central difference over ±u, freed of its second-order error by halving the step
    (Richardson); where there is no uncertainty, over a small part of the value."""
    step = of.u or SOUND * abs(of.value) or SOUND

    def central(h: float) -> float:
        up = model({**at, of.name: of.value + h})
        return (up - model({**at, of.name: of.value - h})) / (2.0 * h)

    return (4.0 * central(step / 2.0) - central(step)) / 3.0


def _freedom(rows: Sequence[Row], u: float) -> float:
    """Welch-Satterthwaite, GUM G.2b."""
    below = sum(row.contribution**4 / row.input.freedom for row in rows)
    return u**4 / below if below > 0.0 else math.inf


@cache
def factor(coverage: float, freedom: float) -> float:
    """Coverage factor: the two-sided quantile of Student's t (GUM G.3.2, table G.2).

    Degrees of freedom that are not whole are used as they are (GUM G.4.1 note 1 allows to
    interpolate); below one, one is taken.
    """
    from scipy.special import ndtri, stdtrit  # noqa: PLC0415 - slow to load

    p = 0.5 * (1.0 + coverage)
    return float(ndtri(p) if math.isinf(freedom) else stdtrit(max(freedom, 1.0), p))


def limits(half: float, shape: Shape = Shape.RECTANGULAR) -> float:
    """Standard uncertainty of a value known to lie within ± `half` (GUM 4.3.7, 4.3.9)."""
    return abs(half) / math.sqrt(6.0 if shape is Shape.TRIANGULAR else 3.0)


def of_band(written: Quantity | Strength) -> float:
    """Standard uncertainty of a written ±, which is a 90 % half-width everywhere in a sheet."""
    return written.band / factor(0.9, math.inf)


def mean(values: Sequence[float]) -> float:
    """Arithmetic mean of one or more values."""
    return math.fsum(values) / len(values)


def deviation(values: Sequence[float]) -> float:
    """Experimental standard deviation (GUM 4.2.2); NaN of fewer than two values."""
    if len(values) < 2:
        return math.nan
    middle = mean(values)
    return math.sqrt(math.fsum((v - middle) ** 2 for v in values) / (len(values) - 1))


def _of(rows: Sequence[Row], group: str) -> tuple[Row, ...]:
    return tuple(row for row in rows if (row.input.of or row.input.name) == group)


def _root(parts: Iterable[float]) -> float:
    return math.sqrt(math.fsum(p * p for p in parts))
