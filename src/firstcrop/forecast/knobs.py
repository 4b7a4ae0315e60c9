"""Uncertain inputs of a run: each is asked for by name, and can be moved for the bands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from firstcrop.bank.practice import load_practice


@dataclass(frozen=True, slots=True)
class Knob:
    """An uncertain input: value, 90 % bounds, and the first step whose outcome it can touch."""

    key: str
    label: str
    value: float
    low: float
    high: float
    unit: str
    first_step: int


@dataclass(slots=True)
class Knobs:
    """What a run asked for. `shift` maps a key to -1 (low), 0, +1 (high) or between."""

    shift: Mapping[str, float] = field(default_factory=dict)
    asked: dict[str, Knob] = field(default_factory=dict)
    step: int = 0

    def ask(
        self, key: str, label: str, value: float, low: float, high: float, unit: str = "1"
    ) -> float:
        """The value to use now: moved toward a bound when this run moves this knob."""
        if low < value or high > value:
            known = self.asked.get(key)
            if known is None:
                self.asked[key] = Knob(key, label, value, low, high, unit, self.step)
        move = self.shift.get(key, 0.0)
        if not move:
            return value
        return _moved(value, low, high, move)

    def practice(self, key: str) -> float:
        """A bench value by its key in the practice table."""
        row = load_practice()[key]
        return self.ask(
            f"practice:{key}", row.datum.label, row.value, row.low, row.high, row.datum.unit
        )

    def band(self, key: str, label: str, value: float, half: float, unit: str = "1") -> float:
        """The value of an input with a symmetric 90 % half-width."""
        return self.ask(key, label, value, value - half, value + half, unit)


def _moved(value: float, low: float, high: float, move: float) -> float:
    """Evenly to a bound and on beyond it, but what cannot be negative approaches zero instead."""
    if move > 0.0:
        return value + move * (high - value)
    if move < -1.0 and low > 0.0:
        return low * float((low / value) ** (-move - 1.0))
    moved = value + move * (value - low)
    return max(moved, 0.0) if low >= 0.0 else moved
