"""A safety review as sections of rows, text ready to print."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from firstcrop.cautions.records import Advice, AirCase, Care, HeatCase, Label, Review
from firstcrop.forecast.records import Caution
from firstcrop.views.cautions import caution_row
from firstcrop.views.numbers import show_duration, show_value
from firstcrop.views.rows import CautionRow

LABELS = "Classes rest on CLP Annex VI from memory: the sheet of your bottle comes first."
PROMISE = "This review supports your judgement. It does not say that the work is safe."


@dataclass(frozen=True, slots=True)
class Entry:
    """One row: what it is about, how grave (danger, warning, note or ''), and its lines."""

    head: str
    lines: tuple[str, ...] = ()
    severity: str = ""


@dataclass(frozen=True, slots=True)
class Section:
    """Rows under a heading."""

    title: str
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class ReviewRows:
    """The whole review for a page; `refused` is a sentence and then there is nothing else."""

    sections: tuple[Section, ...] = ()
    refused: str = ""


def review_rows(review: Review) -> ReviewRows:
    """Cautions first, what was not assessed last; empty sections are left out."""
    if review.refused:
        return ReviewRows(refused=review.refused)
    sections = (
        Section("Cautions", tuple(caution_entry(c) for c in review.cautions)),
        Section("Heat, if cooling or stirring fails", tuple(heat_entry(c) for c in review.heat)),
        Section(f"Air, in {review.room}; limits not verified", tuple(air_entries(review.air))),
        Section("On the bench", tuple(care_entry(c) for c in review.care)),
        Section("Afterwards", tuple(advice_entry(a) for a in review.after)),
        Section("Labels, not verified", tuple(label_entry(label) for label in review.labels)),
        Section("Not assessed", tuple(Entry(s) for s in (*review.not_assessed, LABELS, PROMISE))),
    )
    return ReviewRows(tuple(section for section in sections if section.entries))


def caution_entry(caution: Caution) -> Entry:
    """Where and what, why with its source, and what would make it go away."""
    row: CautionRow = caution_row(caution)
    source = f" [{row.source}]" if row.source else ""
    doubt = " Not verified." if row.unverified else ""
    lines = (f"{row.why}{source}{doubt}", f"→ {row.remedy}" if row.remedy else "")
    return Entry(
        f"{row.severity.upper()}, {row.where}: {row.message}",
        tuple(line for line in lines if line.strip()),
        row.severity,
    )


def pair_entry(caution: Caution) -> Entry:
    """Two bottles and why: a caution that is of no sheet."""
    entry = caution_entry(caution)
    return replace(entry, head=entry.head.replace(", the whole sheet:", ":"))


def heat_entry(case: HeatCase) -> Entry:
    """The peak of a failure, how soon, and the class."""
    heat = show_value(case.waiting, "J") if case.waiting > 0.0 else "nothing"
    head = f"step {case.step}: {heat} waiting at {show_value(case.temperature, 'K')}"
    lines = [f"Cooling fails: {show_value(case.failure_peak, 'K')} (no heat lost)."]
    if not math.isnan(case.time_to_limit):
        lines[0] += f" {show_value(case.limit, 'K')} after {show_duration(case.time_to_limit)}."
    if case.stirring_rise > 0.0:
        lines.append(f"Stirring stops and starts: {show_value(case.stirring_peak, 'K')}.")
    lines.append(f"Severity {case.severity}; {case.criticality}.")
    if case.unknown:
        lines.append("The heat of a reaction that is waiting is not known.")
    return Entry(head, tuple(lines))


def air_entries(cases: tuple[AirCase, ...]) -> Iterator[Entry]:
    """Every gas of every step; the worst one is marked."""
    worst = max(cases, key=lambda case: case.grade, default=None)
    for case in cases:
        mark = ", the worst step" if case is worst and case.grade > 0.0 else ""
        head = f"step {case.step}{mark}: {case.name}, {show_value(case.amount, 'mol')}"
        told = f"{_ppm(case.room_ppm)} in the room, {_ppm(case.near_ppm)} near the bench"
        limits = f"; limits: {case.limits}" if case.limits else "; no limit is known"
        lines = [f"{told}{limits}."]
        if case.part_of_lfl > 0.0:
            lines.append(f"{case.part_of_lfl * 100:.2g} % of the lower flammable limit there.")
        if case.grade > 1.0:
            lines.append("→ A fume cupboard or outdoors; cover the vessel between additions.")
        yield Entry(head, tuple(lines), "warning" if case.grade > 1.0 else "")


def _ppm(value: float) -> str:
    return f"{float(f'{value:.2g}'):g} ppm"


def care_entry(care: Care) -> Entry:
    """What to wear, and what to do first."""
    return Entry(f"step {care.step}: {'; '.join(care.wear)}", care.first)


def advice_entry(advice: Advice) -> Entry:
    """What to do with what is left."""
    doubt = " Not verified." if advice.unverified else ""
    return Entry(f"{advice.where}: {advice.words} [{advice.source}]{doubt}")


def label_entry(label: Label) -> Entry:
    """Signal word, pictograms, statements with reasons, and the precautions with room on it."""
    where = f"{label.kind} {label.name}" if label.kind != "liquor" else label.name
    when = f" after step {label.step}" if label.step else ""
    if not label.hazards:
        told = "no class found" if not label.gaps else "no class found in what is known of it"
        return Entry(f"{where}{when}: {told}.", _gaps(label))
    shown = ", ".join((label.signal, *label.pictograms)) if label.signal else "no signal word"
    lines = [f"{h.code} {h.text} ({h.kind}): {h.why}." for h in label.hazards]
    lines += [f"{code} {text}." for code, text in label.brief]
    return Entry(f"{where}{when}: {shown}", (*lines, *_gaps(label)))


def _gaps(label: Label) -> tuple[str, ...]:
    return tuple(f"Not told: {gap}." for gap in label.gaps)
