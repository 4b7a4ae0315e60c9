"""A logger's CSV: a column of times and one of temperatures, whatever they are called."""

from __future__ import annotations

import csv
import hashlib
import io
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from firstcrop.problems import Place, Problem, Severity

MOST = 20_000  # rows taken
ZERO = 273.15
PLAUSIBLE = (-60.0, 400.0)  # °C
FAHRENHEIT = ("°f", "(f)", "fahrenheit", "degf")
CLOCKS = ("%H:%M:%S", "%H:%M", "%Y-%m-%d %H:%M:%S", "%d.%m.%Y %H:%M:%S", "%d/%m/%Y %H:%M:%S",
          "%Y/%m/%d %H:%M:%S", "%m/%d/%Y %H:%M:%S")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Logged:
    """One row: its key (the same file dropped twice gives the same), time and temperature, K."""

    key: str
    at: str
    temperature: float


def read_log(text: str, begun: str) -> tuple[tuple[Logged, ...], tuple[Problem, ...]]:
    """Rows of a log, and what could not be read. `begun` is when its seconds or clock count from
    (ISO 8601 with zone); the log's own dates are taken in that zone."""
    digest = hashlib.sha256(text.encode()).hexdigest()[:24]
    rows = list(csv.reader(io.StringIO(text, newline=""), _dialect(text)))
    head = next((i for i, row in enumerate(rows) if _is_data(row)), None)
    if head is None:
        hint = "Save the log as CSV with one column of times and one of °C"
        return (), (Problem("log.empty", "no row has a time and a temperature", hint=hint),)
    columns = _columns(rows[head - 1] if head else [], rows[head])
    if isinstance(columns, Problem):
        return (), (columns,)
    time, temperature, fahrenheit = columns
    zero = datetime.fromisoformat(begun)
    found: list[Logged] = []
    wrong: list[Problem] = []
    for number, row in enumerate(rows[head : head + MOST], head + 1):
        got = _row(row, time, temperature, fahrenheit, zero)
        if isinstance(got, str):
            if any(cell.strip() for cell in row):
                wrong.append(Problem("log.row", got, (Place(number),), severity=Severity.WARNING))
            continue
        found.append(Logged(f"log-{digest}-{number}", got[0], got[1]))
    if len(rows) > head + MOST:
        wrong.append(Problem("log.long", f"only the first {MOST:,} rows are taken",
                             severity=Severity.WARNING))  # fmt: skip
    return tuple(found), tuple(wrong)


def _dialect(text: str) -> type[csv.Dialect]:
    class Dialect(csv.excel):
        delimiter = max(";\t,", key=text[:4000].count)

    return Dialect


def _number(cell: str) -> float | None:
    written = cell.strip().rstrip("°CFK ").replace("\u2212", "-")
    if "," in written and "." not in written:
        written = written.replace(",", ".")
    try:
        return float(written)
    except ValueError:
        return None


def _is_data(row: list[str]) -> bool:
    timed = any(_clock(cell) or _number(cell) is not None for cell in row[:2])
    return timed and len(row) > 1 and any(_number(cell) is not None for cell in row[1:])


def _columns(head: list[str], first: list[str]) -> tuple[int, int, bool] | Problem:
    """The column of times, of temperatures, and whether those are in °F."""
    names = [cell.strip().lower() for cell in head] + [""] * len(first)
    time = next((i for i, n in enumerate(names) if n.startswith(("time", "date", "zeit"))), None)
    if time is None:
        time = next((i for i, cell in enumerate(first) if _clock(cell)), 0)
    usable = [i for i, cell in enumerate(first) if i != time and _number(cell) is not None]
    named = [i for i in usable if "temp" in names[i] or "°" in names[i]]
    if not usable:
        return Problem("log.column", "no column of temperatures was found")
    chosen = (named or usable)[0]
    if not named and len(usable) > 1:
        return Problem("log.column", "several columns could be the temperature",
                       hint="Name its column “temperature” in the first line")  # fmt: skip
    return time, chosen, any(mark in names[chosen] for mark in FAHRENHEIT)


def _row(
    row: list[str], time: int, temperature: int, fahrenheit: bool, zero: datetime
) -> tuple[str, float] | str:
    if len(row) <= max(time, temperature):
        return "the row is too short"
    degrees = _number(row[temperature])
    if degrees is None:
        return f"“{row[temperature].strip()[:40]}” is no temperature"
    celsius = (degrees - 32.0) / 1.8 if fahrenheit else degrees
    if not PLAUSIBLE[0] <= celsius <= PLAUSIBLE[1]:
        return f"{celsius:g} °C is not believed"
    at = _moment(row[time].strip(), zero)
    return f"“{row[time].strip()[:40]}” is no time" if at is None else (at, celsius + ZERO)


def _clock(cell: str) -> datetime | None:
    written = cell.strip()
    for form in CLOCKS:
        try:
            return datetime.strptime(written, form).replace(tzinfo=UTC)
        except ValueError:
            continue
    try:
        return datetime.fromisoformat(written) if len(written) > 9 else None
    except ValueError:
        return None


def _moment(cell: str, zero: datetime) -> str | None:
    seconds = _number(cell)
    if seconds is not None:
        return (zero + timedelta(seconds=seconds)).isoformat() if abs(seconds) < 1e7 else None
    clock = _clock(cell)
    if clock is None:
        return None
    if clock.year == 1900:  # a time of day: that of the day the run began on, or the next
        at = zero.replace(hour=clock.hour, minute=clock.minute, second=clock.second, microsecond=0)
        at += timedelta(days=1 if at < zero - timedelta(hours=12) else 0)
    else:
        at = clock if clock.tzinfo not in (None, UTC) else clock.replace(tzinfo=zero.tzinfo)
    return at.isoformat()
