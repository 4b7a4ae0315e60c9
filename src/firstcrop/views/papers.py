"""What the papers are set from: plain rows, text ready to print."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import asdict
from datetime import datetime
from typing import Any

from firstcrop.cautions.records import Label
from firstcrop.forecast.records import Forecast
from firstcrop.notebook.records import Kind, Run
from firstcrop.sheet.records import Material
from firstcrop.views.account import AccountRows
from firstcrop.views.bench import AlarmRow, BenchSheet, EntryRow
from firstcrop.views.report import report

Rows = dict[str, Any]
CARE = (
    "These cautions see only what the sheet says and the bank knows. They do not replace local "
    "rules, the supplier's safety data sheet, or competent supervision."
)
MOST_HAZARDS, MOST_PARTS = 6, 4


def run_sheet_rows(forecast: Forecast, sheet: BenchSheet, today: str) -> Rows:
    """The run sheet: what to do, what should happen, room for what did."""
    rows = report(forecast)
    return {
        "title": sheet.title,
        "makes": sheet.makes,
        "theory": sheet.theory,
        "foot": f"{sheet.title}, forecast of {today}",
        "cautions": list(sheet.cautions),
        "materials": [_material(m) for m in forecast.preparation.materials],
        "steps": [asdict(step) for step in sheet.steps],
        "crops": [{"number": c.number, "name": c.name, "dry": c.dry.full} for c in rows.crops],
        "not_assessed": [CARE, *sheet.not_assessed],
    }


def _material(material: Material) -> Rows:
    strength = material.strength_text or (f"bottle {material.bottle}" if material.bottle else "")
    return {"name": material.name, "substance": material.substance, "strength": strength}


def label_rows(labels: Iterable[Label], codes: Mapping[str, str], made: str) -> Rows:
    """Labels; `codes` are the files of their QR codes by name."""
    return {"labels": [_label(label, codes, made) for label in labels]}


def _label(label: Label, codes: Mapping[str, str], made: str) -> Rows:
    holds = ", ".join(f"{name} {100 * part:.2g} %" for name, part in label.ingredients[:MOST_PARTS])
    hazards = [f"{line.code} {line.text}" for line in label.hazards[:MOST_HAZARDS]]
    if len(label.hazards) > MOST_HAZARDS:
        hazards.append(f"and {len(label.hazards) - MOST_HAZARDS} more: see the safety data sheet")
    if not label.hazards:
        hazards.append("No class found in what is known of it; this does not say it is harmless.")
    gaps = [f"Not told: {gap}" for gap in label.gaps[:2]]
    if label.unverified and label.hazards:
        gaps.append("Classes from memory, not verified: the supplier's sheet comes first.")
    return {
        "name": label.name,
        "holds": holds,
        "signal": label.signal,
        "pictograms": list(label.pictograms),
        "hazards": hazards,
        "precautions": [f"{code} {text}" for code, text in label.brief],
        "gaps": gaps,
        "code": codes.get(label.name, ""),
        "made": made,
    }


def report_rows(
    run: Run,
    forecast: Forecast,
    sheet: BenchSheet,
    entries: tuple[EntryRow, ...],
    account: AccountRows,
    alarms: tuple[AlarmRow, ...],
    pictures: Iterable[tuple[str, str]] = (),
    photos: Mapping[str, str] | None = None,
) -> Rows:
    """The report. `pictures` are (file, words); `photos` are files by their digest."""
    rows = report(forecast)
    kept = photos or {}
    return {
        "title": sheet.title,
        "makes": sheet.makes,
        "foot": f"{sheet.title}, run {run.id[:8]}, {run.entries} entries, digest {run.head[:32]}",
        "when": _moment(run.begun),
        "who": run.who,
        "id": run.id,
        "theory": account.theory,
        "verdicts": [asdict(v) for v in account.verdicts],
        "yields": [asdict(y) for y in account.yields],
        "shares": [asdict(s) for s in account.shares if math.isfinite(s.part)],
        "figures": [asdict(f) for f in account.figures],
        "second_crop": account.second_crop,
        "pictures": [{"file": file, "words": words} for file, words in pictures],
        "method": [{"number": str(s.number), "text": s.text} for s in sheet.steps],
        "entries": [_entry(e) for e in entries if e.kind != Kind.RUN_ENDED.value],
        "photos": [
            {"file": kept[e.photo], "words": f"step {e.step}, {_moment(e.at)}"}
            for e in entries
            if e.photo in kept
        ],
        "alarms": [asdict(a) for a in alarms],
        "sources": list(rows.sources),
        "doubts": [f"{d.obtained}: {d.words}" for d in rows.doubts],
    }


def _entry(entry: EntryRow) -> Rows:
    what = " ".join(part for part in (_kind(entry), entry.text) if part)
    if entry.corrects:
        what += f" (corrects no. {entry.corrects}: {entry.reason})"
    return {
        "number": entry.number, "at": _moment(entry.at), "step": entry.step, "what": what,
        "who": entry.who, "stands": entry.stands,
    }  # fmt: skip


def _kind(entry: EntryRow) -> str:
    said = entry.kind in (Kind.TEMPERATURE.value, Kind.NOTE.value, Kind.CORRECTION.value)
    return "" if said else entry.kind


def _moment(at: str) -> str:
    return datetime.fromisoformat(at).strftime("%Y-%m-%d %H:%M:%S")
