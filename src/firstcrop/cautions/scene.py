"""What every caution looks at: the forecast, the bank and the story of the sheet."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from firstcrop.bank.lookup import Named
from firstcrop.cautions.story import Story
from firstcrop.forecast.records import Caution, Forecast, StepForecast
from firstcrop.problems import Severity

SMALL_GAS = 1e-5  # mol; less leaves no trace in a room
MOLAR_VOLUME = 0.0241  # m3/mol at 20 °C and 1 atm


@dataclass(frozen=True, slots=True)
class Scene:
    """One sheet as the cautions see it."""

    forecast: Forecast
    bank: Named
    story: Story

    def gases(self) -> tuple[tuple[StepForecast, str, float], ...]:
        """(step, formula of the gas, mol) of all gas the forecast sees given off."""
        return tuple(
            (step, key.removesuffix("(g)"), amount)
            for step in self.forecast.steps
            for key, amount in step.gas.items
            if amount > SMALL_GAS
        )


Rule = Callable[[Scene], tuple[Caution, ...]]


def softer(severity: Severity) -> Severity:
    """One level less grave; a note stays a note."""
    return Severity.WARNING if severity is Severity.ERROR else Severity.NOTE


def graver(one: Severity, other: Severity) -> Severity:
    """The graver of two."""
    order = (Severity.ERROR, Severity.WARNING, Severity.NOTE)
    return min(one, other, key=order.index)
