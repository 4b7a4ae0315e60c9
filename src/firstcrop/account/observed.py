"""A run back into its sheet: `## Observed` filled in with what was read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from firstcrop.account.entries import crop_of
from firstcrop.notebook.chain import in_force
from firstcrop.notebook.records import Entry, Kind

SUBJECTS = MappingProxyType(
    {Kind.TEMPERATURE: "", Kind.PH: "pH ", Kind.MASS: "mass ", Kind.VOLUME: "volume "}
)


def observed_lines(entries: Iterable[Entry]) -> tuple[str, ...]:
    """The lines of `## Observed`: the last reading of each kind of each step, the hottest too, and
    the last dry weighing of each crop; notes as remarks under them."""
    last: dict[tuple[int, Kind], str] = {}
    peaks: dict[int, tuple[float, str]] = {}
    crops: dict[int, str] = {}
    notes = []
    for entry in in_force(entries):
        reading = entry.reading
        text = reading.text.partition("(")[0].strip()
        if reading.kind in SUBJECTS and reading.value is not None and reading.step:
            last[reading.step, reading.kind] = text.removeprefix("pH").strip()
            if reading.kind is Kind.TEMPERATURE and reading.value > _peak(peaks, reading.step):
                peaks[reading.step] = (reading.value, text)
        elif reading.kind is Kind.CROP:
            number, dry = crop_of(reading)
            if dry:
                crops[number] = text
        elif reading.kind is Kind.NOTE and reading.text.strip():
            notes.append(f"Step {reading.step}: {' '.join(reading.text.split())}")
    lines = [
        f"- {SUBJECTS[kind]}after step {step}: {text}"
        for (step, kind), text in sorted(last.items())
    ]
    lines += [
        f"- peak of step {step}: {text}"
        for step, (_, text) in sorted(peaks.items())
        if text != last.get((step, Kind.TEMPERATURE))
    ]
    many = len(crops) > 1
    lines += [f"- crop {n}: {t}" if many else f"- crop: {t}" for n, t in sorted(crops.items())]
    return (*lines, *(("", *notes) if notes else ()))


def _peak(peaks: Mapping[int, tuple[float, str]], step: int) -> float:
    return peaks[step][0] if step in peaks else 0.0


def with_observed(sheet: str, entries: Iterable[Entry]) -> str:
    """The sheet with its `## Observed` replaced, or added at its end."""
    lines = sheet.splitlines()
    heads = [i for i, line in enumerate(lines) if line.lstrip("# ").strip().lower() == "observed"]
    start = next((i for i in heads if lines[i].startswith("#")), None)
    if start is not None:
        after = range(start + 1, len(lines))
        end = next((i for i in after if lines[i].startswith("#")), len(lines))
        rest = lines[end:]
        lines = lines[:start]
    else:
        rest = []
    while lines and not lines[-1].strip():
        lines.pop()
    middle = ["", "## Observed", "", *observed_lines(entries), ""]
    return "\n".join([*lines, *middle, *rest]).rstrip("\n") + "\n"
