"""The picture's time axis: steps side by side, very short ones widened, very long ones cut."""

from __future__ import annotations

from dataclasses import dataclass

from firstcrop.forecast.records import Forecast, StepForecast
from firstcrop.views.numbers import show_duration

LEAST = 0.05  # of the picture's width, so that a step's number has room
MOST = 0.30  # of the picture's width, so that a night does not squeeze the day
ROOM = 44.0  # drawn units a printed time needs
WIDTH = 640  # drawn width; x is in these units throughout


@dataclass(frozen=True, slots=True)
class Band:
    """A step on the axis: its true times (s) and where it is drawn."""

    number: int
    verb: str
    start: float
    end: float
    x: float
    x2: float
    stretched: bool  # not drawn to the scale of the others

    def place(self, time: float) -> float:
        """Where an instant of this step is drawn."""
        length = self.end - self.start
        share = (time - self.start) / length if length > 0.0 else 1.0
        return self.x + min(max(share, 0.0), 1.0) * (self.x2 - self.x)


def bands(forecast: Forecast) -> tuple[Band, ...]:
    """Every step's band. Within a step time runs evenly; its scale is the common one unless the
    step is marked as stretched."""
    steps = forecast.steps
    if not steps:
        return ()
    lengths = [max(step.duration, 0.0) for step in steps]
    widths = drawn_widths(lengths)
    common = _common_scale(lengths, widths)
    found: list[Band] = []
    x = 0.0
    for step, length, width in zip(steps, lengths, widths, strict=True):
        true = length > 0.0 and abs(width / length / common - 1.0) < 0.01
        start = step.start.time
        verb = _verb(step)
        found.append(Band(step.number, verb, start, start + length, x, x + width, not true))
        x += width
    return tuple(found)


def drawn_widths(lengths: list[float]) -> list[float]:
    """Widths that add up to WIDTH, each between LEAST and MOST of it where that is possible."""
    count = len(lengths)
    least = min(LEAST, 1.0 / count) * WIDTH
    most = min(max(MOST, 1.6 / count), 1.0) * WIDTH
    low, high = 0.0, WIDTH / max(min((x for x in lengths if x > 0.0), default=1.0), 1e-3)
    for _ in range(60):
        middle = (low + high) / 2.0
        total = sum(min(max(middle * x, least), most) for x in lengths)
        low, high = (middle, high) if total < WIDTH else (low, middle)
    widths = [min(max(high * x, least), most) for x in lengths]
    return [width * WIDTH / sum(widths) for width in widths]


def _common_scale(lengths: list[float], widths: list[float]) -> float:
    """The width of a second in the steps drawn to scale: the median over steps with a length."""
    scales = sorted(w / x for x, w in zip(lengths, widths, strict=True) if x > 0.0)
    free = [s for s in scales if sum(abs(s / o - 1.0) < 0.01 for o in scales) > 1]
    usable = free or scales or [1.0]
    return usable[len(usable) // 2]


def _verb(step: StepForecast) -> str:
    words = step.summary.split() if step.summary else [""]
    return words[0].lower().strip(".,;")


def clock(drawn: tuple[Band, ...]) -> list[dict[str, object]]:
    """Elapsed times to print under the axis, where there is room for them."""
    found: list[dict[str, object]] = [{"x": 0.0, "text": "0"}]
    last, said = 0.0, "0:00"
    for index, band in enumerate(drawn):
        final = index == len(drawn) - 1
        text = clock_text(band.end)
        if text != said and band.x2 - last >= ROOM and (final or WIDTH - band.x2 >= ROOM):
            found.append({"x": band.x2, "text": text})
            last, said = band.x2, text
    return found


def clock_text(seconds: float) -> str:
    """Hours and minutes, "0:42"; from two days on days and hours."""
    if seconds >= 172800.0:
        return show_duration(seconds)
    hours, minutes = divmod(round(seconds / 60.0), 60)
    return f"{hours}:{minutes:02d}"
