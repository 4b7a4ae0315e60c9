"""What every caution looks at: the forecast, the bank and the story of the sheet."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from firstcrop.bank.lookup import Named
from firstcrop.cautions.pairs import Met, meets
from firstcrop.cautions.story import Story, tell
from firstcrop.forecast.records import Caution, Forecast
from firstcrop.problems import Severity


@dataclass(frozen=True, slots=True)
class Scene:
    """One sheet as the cautions see it."""

    forecast: Forecast
    bank: Named
    story: Story
    met: tuple[Met, ...] = ()


def scene_of(forecast: Forecast, bank: Named) -> Scene:
    """A forecast retold for the cautions."""
    story = tell(forecast.preparation, bank)
    return Scene(forecast, bank, story, meets(story.meetings))


Rule = Callable[[Scene], tuple[Caution, ...]]


def softer(severity: Severity) -> Severity:
    """One level less grave; a note stays a note."""
    return Severity.WARNING if severity is Severity.ERROR else Severity.NOTE


def graver(one: Severity, other: Severity) -> Severity:
    """The graver of two."""
    order = (Severity.ERROR, Severity.WARNING, Severity.NOTE)
    return min(one, other, key=order.index)
