"""Change numbers in a sheet's own text and leave every other character as it was written."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from firstcrop.problems import Place, Problem, Severity
from firstcrop.quantity.records import Kind, Quantity
from firstcrop.quantity.write import write_quantity
from firstcrop.sheet.records import Clause, Preparation, Vessel

EXTENSIVE = (Kind.MASS, Kind.VOLUME, Kind.AMOUNT, Kind.DROPS, Kind.MASS_FLOW, Kind.VOLUME_FLOW)
FIELDS = ("amount", "into_amount", "solvent_amount", "rate", "to_volume", "to_mass")
FIGURES = 3  # kept of a scaled amount, more when more were written
DROP = 5e-8  # m3; a scaled number of drops is a whole one

Sizes = Callable[[str, float], float]  # vessel form, volume needed (m3) -> size to take (m3)


@dataclass(frozen=True, slots=True)
class Edit:
    """Put `text` in place of `length` characters at `line` and `column`, counted from 1."""

    line: int
    column: int
    length: int
    text: str


def edited(lines: Sequence[str], edits: Iterable[Edit]) -> tuple[str, ...]:
    """The lines with every edit made; edits of one line do not touch each other."""
    changed = list(lines)
    for edit in sorted(edits, key=lambda e: (e.line, -e.column)):
        line = changed[edit.line - 1]
        start = edit.column - 1
        changed[edit.line - 1] = line[:start] + edit.text + line[start + edit.length :]
    return tuple(changed)


def filled(lines: Sequence[str], answers: Iterable[tuple[Place, str]]) -> tuple[str, ...]:
    """The lines with each `?` replaced by its answer ("112 mL", "6 portions", "pH 3.2")."""
    edits = {_filling(lines, place, answer) for place, answer in answers}
    return edited(lines, (edit for edit in edits if edit is not None))


def _filling(lines: Sequence[str], place: Place, answer: str) -> Edit | None:
    line = lines[place.line - 1]
    mark = line.find("?", max(place.column - 1, 0))
    if mark < 0:
        return None
    number, _, unit = answer.partition(" ")
    if number == "pH":
        return Edit(place.line, mark + 1, 1, unit if line[:mark].endswith("pH ") else answer)
    after = line[mark + 1 :].lstrip()
    if unit and after.startswith(unit):
        return Edit(place.line, mark + 1, 1, number)
    covered = max(place.length - (mark - place.column + 1), 1)
    return Edit(place.line, mark + 1, covered, answer)


def scaled(sheet: Preparation, factor: float, size: Sizes) -> tuple[str, ...]:
    """The sheet's lines with every amount multiplied by `factor` and vessels exchanged for
    the size that holds it. Times, portions, limits and strengths stay; what was observed belongs
    to the run as it was and is left out, and so is a vessel without a capacity."""
    if not (factor > 0.0 and math.isfinite(factor)):
        raise ValueError("a scale is a positive, finite factor")
    edits = [e for c in clauses(sheet) for e in _clause_edits(sheet.source_lines, c, factor)]
    edits += [e for v in sheet.vessels for e in _vessel_edits(sheet.source_lines, v, factor, size)]
    return _without_observed(edited(sheet.source_lines, edits), sheet)


def clauses(sheet: Preparation) -> Iterator[Clause]:
    """Every clause of every step in order."""
    for step in sheet.steps:
        yield from step.clauses


def _clause_edits(lines: Sequence[str], clause: Clause, factor: float) -> Iterator[Edit]:
    for name in FIELDS:
        value = getattr(clause, name)
        if isinstance(value, Quantity) and value.kind in EXTENSIVE:
            edit = _number_edit(lines, clause.at_field(name), value, factor)
            if edit is not None:
                yield edit


def _number_edit(lines: Sequence[str], place: Place, old: Quantity, factor: float) -> Edit | None:
    """The edit that scales a quantity written within or after `place`."""
    line = lines[place.line - 1]
    start = line.find(old.text, max(place.column - 1, 0)) if old.text else -1
    if start < 0:
        return None
    return Edit(place.line, start + 1, len(old.text), write_quantity(times(old, factor)))


def times(old: Quantity, factor: float) -> Quantity:
    """A quantity multiplied, with the figures it had but at least three."""
    figures = max(FIGURES, _figures(old.text))
    value = rounded(old.value * factor, figures)
    if old.kind is Kind.DROPS:
        value = max(1.0, round(old.value * factor / DROP)) * DROP
    return replace(old, value=value, band=rounded(old.band * factor, 2), text="")


def rounded(value: float, figures: int) -> float:
    """The value at so many significant figures."""
    return float(f"{value:.{figures - 1}e}")


def _figures(text: str) -> int:
    """Significant figures of the first number in a text."""
    number = text.replace(",", ".").lstrip().split(" ")[0]
    digits = [c for c in number if c.isdigit()]
    return len("".join(digits).lstrip("0"))


def _vessel_edits(
    lines: Sequence[str], vessel: Vessel, factor: float, size: Sizes
) -> Iterator[Edit]:
    if vessel.capacity is None or not vessel.capacity.text:
        return
    wanted = rounded(size(vessel.form, vessel.capacity.value * factor), 6)
    line = lines[vessel.place.line - 1]
    start = line.find(vessel.capacity.text, vessel.place.column - 1)
    if start >= 0:
        text = write_quantity(replace(vessel.capacity, value=wanted, unit=unit_of(wanted), text=""))
        yield Edit(vessel.place.line, start + 1, len(vessel.capacity.text), text)


def unit_of(volume: float) -> str:
    """Litres from one litre up, else millilitres."""
    return "L" if volume >= 0.9995e-3 else "mL"


def _without_observed(lines: tuple[str, ...], sheet: Preparation) -> tuple[str, ...]:
    """The lines without the section that holds the observations."""
    if not sheet.observed:
        return lines
    first = min(o.place.line for o in sheet.observed) - 1
    start = next((i for i in range(first, -1, -1) if lines[i].startswith("#")), first)
    end = next((i for i in range(first, len(lines)) if lines[i].startswith("#")), len(lines))
    kept = (*lines[:start], *lines[end:])
    while kept and not kept[-1].strip():
        kept = kept[:-1]
    return kept


def with_remark(lines: Sequence[str], remark: str) -> tuple[str, ...]:
    """The lines with a paragraph of prose before the first section."""
    at = next((i for i, line in enumerate(lines) if line.startswith("##")), len(lines))
    return (*lines[:at], remark, "", *lines[at:])


def total_of(sheet: Preparation, name: str) -> Quantity | Problem:
    """How much of a material the steps take in all; a Problem when that is not all numbers of
    one kind."""
    taken: list[Quantity] = []
    for clause in clauses(sheet):
        for field, matter in (("amount", clause.what), ("solvent_amount", clause.solvent)):
            value = getattr(clause, field)
            if matter != name or value is None:
                continue
            if not isinstance(value, Quantity) or value.kind not in EXTENSIVE:
                hint = "fill the sheet first, then scale it"
                message = f"how much {name} line {clause.place.line} takes is left open"
                return Problem("scale.open", message, (clause.at_field(field),), hint)
            taken.append(value)
    return _sum(taken, name, sheet)


def _sum(taken: list[Quantity], name: str, sheet: Preparation) -> Quantity | Problem:
    if not taken:
        known = ", ".join(material.name for material in sheet.materials)
        return Problem("scale.unused", f"no step takes “{name}”", hint=f"the materials are {known}")
    kinds = {q.kind for q in taken}
    if len(kinds) > 1:
        words = " and ".join(sorted(kind.value for kind in kinds))
        return Problem("scale.kinds", f"{name} is taken by {words}", severity=Severity.ERROR)
    return replace(taken[0], value=math.fsum(q.value for q in taken), band=0.0, text="")
