"""What a run taught, written into its sheet for the next time."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from firstcrop.account.records import Lesson
from firstcrop.quantity.records import Basis, Strength
from firstcrop.quantity.write import write_strength
from firstcrop.sheet.read import read_sheet
from firstcrop.sheet.records import Material, Preparation
from firstcrop.sheet.rewrite import Edit, edited

NARROWED = 0.9  # a lesson that leaves more of the width than this is not worth writing
STRENGTH = "strength:"
EXCHANGE = ("practice:exchange_factor", "condition:heat exchange")
LEAST_BAND = 1e-4  # of the value


@dataclass(frozen=True, slots=True)
class Used:
    """The new text, what was written into it, and what no line of a sheet can carry."""

    text: str
    written: tuple[str, ...]
    only_told: tuple[str, ...]


def used(text: str, lessons: Iterable[Lesson]) -> Used:
    """Put learned strengths, and how fast heat passes, with their spread into the text."""
    sheet = read_sheet(text).preparation
    materials = {f"{STRENGTH}{m.name.lower()}": m for m in sheet.materials}
    edits, written, told, exchange = [], [], [], None
    for lesson in lessons:
        if lesson.narrowed > NARROWED:
            continue
        material = materials.get(lesson.key)
        edit = _strength_edit(sheet, material, lesson) if material else None
        if edit is not None:
            edits.append(edit)
            written.append(f"{lesson.label}: {edit.text}")
        elif lesson.key in EXCHANGE:
            exchange = _exchange(lesson)
            written.append(exchange)
        else:
            told.append(lesson.label)
    lines = edited(text.split("\n"), edits)
    if exchange is not None:
        lines = with_condition(lines, "heat exchange", exchange)
    return Used("\n".join(lines), tuple(written), tuple(told))


def _strength_edit(sheet: Preparation, material: Material, lesson: Lesson) -> Edit | None:
    """The cell with its learned strength; None where a bottle or a saturation stands for it."""
    old = material.strength
    if old is None or not material.strength_text or old.basis is Basis.SATURATED:
        return None
    place = material.strength_place
    line = sheet.source_lines[place.line - 1]
    start = line.find(material.strength_text, max(place.column - 1, 0))
    if start < 0:
        return None
    return Edit(place.line, start + 1, len(material.strength_text), _written(old, lesson))


def _written(old: Strength, lesson: Lesson) -> str:
    value, band = rounded(lesson)
    return write_strength(replace(old, value=value, band=band, text=""))


def rounded(lesson: Lesson) -> tuple[float, float]:
    """What was learned and its 90 % half-width, to two figures of the latter."""
    value, low, high = map(float, lesson.after)
    band = max(0.5 * (high - low), LEAST_BAND * abs(value))
    digits = 1 - math.floor(math.log10(band))
    return round(value, digits), round(band, digits)


def _exchange(lesson: Lesson) -> str:
    value, band = rounded(lesson)
    return f"heat exchange: {100 * value:.4g} ± {100 * band:.2g} %"


def with_condition(lines: tuple[str, ...], name: str, line: str) -> tuple[str, ...]:
    """The lines with one of `## Conditions` put in or replaced; the section is made before
    `## Steps` when there is none."""
    heads = [i for i, text in enumerate(lines) if text.startswith("#")]
    start = next((i for i in heads if lines[i].strip("# ").lower() == "conditions"), None)
    if start is None:
        at = next((i for i in heads if lines[i].strip("# ").lower() == "steps"), len(lines))
        return (*lines[:at], "## Conditions", "", f"- {line}", "", *lines[at:])
    end = next((i for i in heads if i > start), len(lines))
    same = (i for i in range(start + 1, end) if lines[i].lower().startswith(f"- {name}:"))
    there = next(same, None)
    if there is not None:
        return (*lines[:there], f"- {line}", *lines[there + 1 :])
    last = next((i for i in range(end - 1, start, -1) if lines[i].strip()), start)
    gap = () if last > start else ("",)
    return (*lines[: last + 1], *gap, f"- {line}", *lines[last + 1 :])
