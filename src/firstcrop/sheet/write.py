"""Print a Preparation as a sheet: the twin of `read_sheet`."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise
from types import MappingProxyType
from typing import Any

from firstcrop.chem.equation import write_equation
from firstcrop.sheet.fields import fields_of, find_field
from firstcrop.sheet.records import (
    Material,
    Observation,
    Preparation,
    Reaction,
    Setting,
    Step,
    SubstanceRow,
    Vessel,
)
from firstcrop.sheet.write_clause import write_clauses, write_value

_INDENT = "   "


def write_sheet(preparation: Preparation) -> str:
    """The whole sheet as Markdown. Steps print their text, or their clauses when it is empty.

    Reading it again gives an equal Preparation; a sheet read without errors comes back with the
    same text up to spacing, list markers and the numbering of the steps.
    """
    p = preparation
    blocks = [f"# {p.title}"]
    intro = [s for s in p.prose if not s.heading]
    blocks += [s.text for s in intro if s.after == 0 and p.makes]
    blocks += [p.makes] if p.makes else []
    blocks += [s.text for s in intro if s.after or not p.makes]
    for heading in _headings(p):
        blocks.append(f"## {heading}")
        blocks += _section(heading, p)
    return "\n\n".join(b.strip("\n") for b in blocks if b.strip()) + "\n"


def _headings(p: Preparation) -> tuple[str, ...]:
    """The order as written, then sections it does not name."""
    written = {f.name for h in p.order if (f := find_field("section", h))}
    extra = [
        f.wordings[0] for f in fields_of("section") if f.name not in written and getattr(p, f.name)
    ]
    prose = dict.fromkeys(s.heading for s in p.prose if s.heading)
    extra += [h for h in prose if h not in p.order and h not in extra]
    return (*p.order, *extra)


def _section(heading: str, p: Preparation) -> Iterator[str]:
    """The blocks of one section: its items, with the prose that stands between them."""
    known = find_field("section", heading)
    prose = [s for s in p.prose if s.heading == heading]
    if known is None:
        yield from (s.text for s in prose)
        return
    count = len(getattr(p, known.name))
    cuts = sorted({0, count, *(min(s.after, count) for s in prose)})
    yield from (s.text for s in prose if s.after == 0)
    for start, end in pairwise(cuts):
        yield _items(known.name, p, start, end)
        yield from (s.text for s in prose if min(s.after, count) == end)


def _items(name: str, p: Preparation, start: int, end: int) -> str:
    items = getattr(p, name)[start:end]
    if name == "materials":
        return write_materials(items, p.columns)
    if name == "substances":
        return write_substances(items)
    if name == "steps":
        return "\n".join(write_step(s) for s in items)
    return _bullets(_LINES[name](item) for item in items)


def _bullets(lines: Iterator[str]) -> str:
    return "\n".join(f"- {line}" for line in lines)


def _table(rows: list[list[str]]) -> str:
    cells = [[c.replace("|", "\\|") for c in row] for row in rows]
    lines = ["| " + " | ".join(row) + " |" for row in cells]
    rule = "|" + "---|" * len(rows[0])
    return "\n".join([lines[0], rule, *lines[1:]]).replace("|  |", "| |")


def write_materials(materials: tuple[Material, ...], columns: tuple[str, ...]) -> str:
    """The Materials table with its columns as written."""
    names = [f.name if (f := find_field("column", c)) else "" for c in columns]
    rows = [[_cell(m, n) for n in names] for m in materials]
    return _table([list(columns), *rows])


def _cell(material: Material, name: str) -> str:
    if name == "strength":
        strength = material.strength
        return material.strength_text or (strength.text if strength else "")
    if name == "amount":
        return write_value(material.amount) if material.amount is not None else ""
    return str(getattr(material, name)) if name else ""


def write_substances(substances: tuple[SubstanceRow, ...]) -> str:
    """The Substances table; its headings are those of the first row."""
    if not substances:
        return ""
    headings = [h for h, _ in substances[0].cells]
    rows = [[dict(s.cells).get(h, "") for h in headings] for s in substances]
    return _table([headings, *rows])


def write_reaction(reaction: Reaction) -> str:
    """The line as written, or the equation and its rate."""
    return reaction.text or "; ".join([write_equation(reaction.equation), *_rate(reaction)])


def _rate(reaction: Reaction) -> Iterator[str]:
    rate = reaction.rate
    if rate.order == 2:
        yield "second order"
    if rate.half_life is not None:
        at = f" at {write_value(rate.at)}" if rate.at is not None else ""
        yield f"half-life {write_value(rate.half_life)}{at}"
    if rate.doubles_every is not None:
        yield f"doubles every {rate.doubles_every.value:g} °C"
    if rate.activation_energy is not None:
        yield f"activation energy {rate.activation_energy.value / 1000:g} kJ/mol"
    if rate.extent is not None:
        yield f"goes {write_value(rate.extent)} of the way"


def write_vessel(vessel: Vessel) -> str:
    """`beaker: 400 mL low-form beaker`."""
    return f"{vessel.name}: {vessel.description}"


def write_setting(setting: Setting) -> str:
    """`room: 21 ± 2 °C`."""
    return f"{setting.name}: {setting.text}"


def write_observation(observation: Observation) -> str:
    """The line as written, or its subject and value."""
    if observation.text:
        return observation.text
    o = observation
    subject = o.subject.removesuffix(" of step").removesuffix(" step")
    if o.subject == "after step":
        head = f"after step {o.step}"
    elif o.step:
        head = f"{subject} {'after' if subject in ('pH', 'volume', 'mass') else 'of'} step {o.step}"
    else:
        head = f"{subject} of crop {o.crop}" if subject == "yield" and o.crop else subject
        head = f"crop {o.crop}" if subject == "crop" and o.crop else head
    return f"{head}: {write_value(o.quantity)}"


def write_step(step: Step) -> str:
    """`3. Heat to 70 °C.` with its notes indented under it."""
    head = f"{step.number}. {step.text or write_clauses(step.clauses)}"
    notes = [
        "\n" + "\n".join(_INDENT + line if line else "" for line in note.split("\n"))
        for note in step.notes
    ]
    return "\n".join([head, *notes])


_LINES: MappingProxyType[str, Callable[[Any], str]] = MappingProxyType(
    {
        "reactions": write_reaction,
        "vessels": write_vessel,
        "conditions": write_setting,
        "observed": write_observation,
    }
)
