"""A safety review as sections of rows, text ready to print."""

from __future__ import annotations

from dataclasses import dataclass

from firstcrop.cautions.records import Label, Review
from firstcrop.forecast.records import Caution
from firstcrop.views.cautions import caution_row
from firstcrop.views.rows import CautionRow

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
    """Cautions, labels and what was not assessed, in that order; empty sections are left out."""
    if review.refused:
        return ReviewRows(refused=review.refused)
    sections = (
        Section("Cautions", tuple(caution_entry(c) for c in review.cautions)),
        Section("Labels", tuple(label_entry(label) for label in review.labels)),
        Section("Not assessed", tuple(Entry(s) for s in (*review.not_assessed, PROMISE))),
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
