"""Each published value beside the engine's, and what a family of them comes to."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from .mixture import Answer, NotComputable
from .properties import PROPERTIES
from .tables import Known, Row


@dataclass(frozen=True, slots=True)
class Result:
    """error: signed, in % or the property's unit; None with the reason where not computable."""

    row: Row
    computed: float | None
    error: float | None
    reason: str = ""
    known: str = ""
    beyond: bool = False  # past the range of the activity model

    @property
    def inside(self) -> bool | None:
        """Whether the difference is within the source's own uncertainty, if it gives one."""
        if self.computed is None or not self.row.uncertainty:
            return None
        return abs(self.computed - self.row.value) <= self.row.uncertainty * (1.0 + 1e-9)


@dataclass(frozen=True, slots=True)
class Score:
    """Of one family and one way of counting; errors absolute."""

    count: int
    median: float
    high: float  # 95th percentile
    inside: float | None  # share within the source's own uncertainty
    worst: Result | None
    unit: str


def check(row: Row, known: Iterable[Known] = ()) -> Result:
    """One published value beside the engine's."""
    ask = PROPERTIES[row.property]
    reason = next((k.reason for k in known if k.covers(row)), "")
    try:
        answer = ask.ask(row)
    except NotComputable as why:
        return Result(row, None, None, str(why), reason)
    except (ValueError, KeyError, ZeroDivisionError, OverflowError) as why:
        return Result(row, None, None, f"{type(why).__name__}: {why}", reason)
    computed, beyond = (
        (answer.value, answer.beyond) if isinstance(answer, Answer) else (answer, False)
    )
    if not math.isfinite(computed):
        return Result(row, None, None, "no number", reason)
    return Result(row, computed, ask.error(computed, row.value), "", reason, beyond)


def score(results: Iterable[Result]) -> Score | None:
    """None when nothing of it can be computed."""
    found = [r for r in results if r.error is not None]
    if not found:
        return None
    errors = np.array([abs(r.error or 0.0) for r in found])
    said = [r.inside for r in found if r.inside is not None]
    relative = PROPERTIES[found[0].row.property].relative
    return Score(
        len(found),
        float(np.median(errors)),
        float(np.percentile(errors, 95)),
        sum(said) / len(said) if said else None,
        found[int(errors.argmax())],
        "%" if relative else PROPERTIES[found[0].row.property].unit.replace("1", ""),
    )


def reasons(results: Iterable[Result]) -> Counter[str]:
    """Why values could not be computed, and how many each."""
    return Counter(r.reason for r in results if r.error is None)
