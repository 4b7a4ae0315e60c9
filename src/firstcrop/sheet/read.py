"""Read a sheet: Markdown text -> Preparation, with every mistake in it."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

from firstcrop.chem.formula import parse_formula
from firstcrop.problems import Place, Problem
from firstcrop.sheet.clauses import read_step
from firstcrop.sheet.decode import limits, normalise
from firstcrop.sheet.fields import find_field, near_field
from firstcrop.sheet.kinetics import read_reaction
from firstcrop.sheet.lines import read_observation, read_setting, read_vessel
from firstcrop.sheet.mistakes import mistake
from firstcrop.sheet.page import Block, Item, Passage, read_page
from firstcrop.sheet.reader import Names
from firstcrop.sheet.records import Preparation, Reading, Section, Step
from firstcrop.sheet.tables import check_names, read_materials, read_substances

_MAKES = re.compile(r"makes\s+", re.IGNORECASE)
_TABLES = frozenset({"materials", "substances"})


@dataclass(slots=True)
class _Sheet:
    """The blocks of a sheet sorted by section, and what has been read of them."""

    file: str
    lines: tuple[str, ...]
    sections: dict[str, list[Block]] = field(default_factory=dict)
    headings: dict[str, Block] = field(default_factory=dict)
    values: dict[str, Any] = field(default_factory=dict)
    order: list[str] = field(default_factory=list)
    prose: list[Section] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)


def read_sheet(text: str, file: str = "") -> Reading:
    """Every record the text gives and every Problem in it, in line order. Never raises."""
    text = normalise(text)
    unreadable = tuple(limits(text, file))
    if any(p.code in ("too-big", "line-too-long") for p in unreadable):
        return Reading(Preparation(""), unreadable)
    text = re.sub(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]", " ", text)
    sheet = _Sheet(file, tuple(text.split("\n")), problems=list(unreadable))
    _sort(read_page(text, file), sheet)
    _tables(sheet)
    _lists(sheet)
    _steps(sheet)
    _observed(sheet)
    values = {"title": "", **sheet.values}
    preparation = Preparation(
        **values, prose=tuple(sheet.prose), order=tuple(sheet.order), source_lines=sheet.lines
    )
    ordered = sorted(sheet.problems, key=lambda p: (p.line, p.places[0].column if p.places else 0))
    return Reading(preparation, tuple(ordered))


def _sort(blocks: tuple[Block, ...], sheet: _Sheet) -> None:
    """Put each block under its section; unknown sections and stray text become prose."""
    current, heading, items = "", "", 0
    for i, block in enumerate(blocks):
        if block.kind == "heading" and block.level == 1:
            current, heading, items = _title(block, sheet), "", 0
        elif block.kind == "heading" and block.level == 2:
            current, heading, items = _open(block, sheet), block.passage.text, 0
            sheet.order.append(heading)
            if current == "prose":
                _keep(blocks, i, heading, sheet)
        elif current == "prose":
            continue
        elif current == "" and _makes(block, sheet):
            items = 1
        elif current and _belongs(current, block):
            sheet.sections.setdefault(current, []).append(block)
            items += len(block.items) or len(block.rows[1:])
        else:
            raw = "\n".join(sheet.lines[block.start : block.end]).strip("\n")
            place = Place(block.start + 1, 1, 1, sheet.file)
            sheet.prose.append(Section(heading, raw, items, place))
    if "title" not in sheet.values:
        sheet.problems.append(mistake("no-title", Place(1, 1, 1, sheet.file)))


def _title(block: Block, sheet: _Sheet) -> str:
    text = block.passage.text
    if "title" in sheet.values:
        sheet.problems.append(mistake("second-title", block.passage.place(), text=text))
    else:
        sheet.values["title"] = text
    return ""


def _open(block: Block, sheet: _Sheet) -> str:
    """The section a heading opens: one of the known, or "prose"."""
    text = " ".join(block.passage.plain().split()).rstrip(":")
    known = find_field("section", text)
    place = block.passage.place()
    if known is None:
        near = near_field("section", text)
        if near:
            sheet.problems.append(mistake("section-near", place, text=text, near=near))
        return "prose"
    if known.name in sheet.headings:
        first = sheet.headings[known.name].passage.place()
        sheet.problems.append(mistake("section-twice", (place, first), text=text, line=first.line))
    sheet.headings.setdefault(known.name, block)
    return known.name


def _keep(blocks: tuple[Block, ...], i: int, heading: str, sheet: _Sheet) -> None:
    """A section that is prose: its raw text up to the next heading of the same rank."""
    later = (b.start for b in blocks[i + 1 :] if b.kind == "heading" and b.level <= 2)
    end = next(later, len(sheet.lines))
    raw = "\n".join(sheet.lines[blocks[i].end : end]).strip("\n")
    sheet.prose.append(Section(heading, raw, 0, blocks[i].passage.place()))


def _belongs(section: str, block: Block) -> bool:
    if section in _TABLES:
        return block.kind == "table"
    return block.kind in ("list", "numbered")


def _makes(block: Block, sheet: _Sheet) -> bool:
    """`Makes potash alum, KAl(SO4)2·12H2O, for hardening prints.`"""
    if block.kind != "paragraph" or "makes" in sheet.values:
        return False
    passage = block.passage
    start = _MAKES.match(passage.text)
    if start is None:
        return False
    sheet.values["makes"] = passage.text
    body = passage.part(start.end(), len(passage.text))
    name, _, rest = body.text.partition(",")
    target, _, _ = name.partition(" for ")
    if not target.strip(" ."):
        sheet.problems.append(mistake("makes-unclear", passage.place(), text=passage.text))
        return True
    sheet.values["target"] = target.strip(" .")
    second = rest.partition(",")[0].strip().rstrip(".")
    if second and not second.lower().startswith(("for ", "as ", "to ", "a ", "an ", "the ")):
        formula = second.partition(" for ")[0].strip()
        _formula(formula, body, sheet)
    return True


def _formula(text: str, body: Passage, sheet: _Sheet) -> None:
    at = body.text.index(text)
    place = body.place(at, at + len(text))
    formula = parse_formula(text, place)
    if isinstance(formula, Problem):
        why = formula.message.rstrip(".")
        sheet.problems.append(mistake("makes-formula", place, text=text, why=why))
        return
    sheet.values["target_formula"] = text


def _tables(sheet: _Sheet) -> None:
    for name in ("materials", "substances"):
        blocks = sheet.sections.get(name, [])
        if name in sheet.headings and not blocks:
            _missing("table-missing", name, sheet)
        for block in blocks:
            if name == "materials":
                columns, rows = read_materials(block, sheet.problems)
                sheet.values["columns"] = columns
                sheet.values[name] = sheet.values.get(name, ()) + rows
            else:
                found = read_substances(block, sheet.problems)
                sheet.values[name] = sheet.values.get(name, ()) + found
    materials = sheet.values.get("materials", ())
    check_names("material", tuple((m.name, m.place) for m in materials), sheet.problems)
    substances = sheet.values.get("substances", ())
    check_names("substance", tuple((s.name, s.place) for s in substances), sheet.problems)


def _missing(code: str, name: str, sheet: _Sheet) -> None:
    block, known = sheet.headings[name], find_field("section", name)
    example = known.example if known else ""
    heading = block.passage.text
    sheet.problems.append(mistake(code, block.passage.place(), section=heading, example=example))


def _items(name: str, sheet: _Sheet) -> list[Item]:
    blocks = sheet.sections.get(name, [])
    if name in sheet.headings and not blocks:
        _missing("list-missing", name, sheet)
    return [item for block in blocks for item in block.items]


def _lists(sheet: _Sheet) -> None:
    reactions = [read_reaction(item.passage) for item in _items("reactions", sheet)]
    sheet.values["reactions"] = tuple(r for r, _ in reactions if r is not None)
    sheet.problems += [p for _, problems in reactions for p in problems]
    for name, reader in (("vessels", read_vessel), ("conditions", read_setting)):
        found = (reader(item.passage, sheet.problems) for item in _items(name, sheet))
        sheet.values[name] = tuple(f for f in found if f is not None)
    vessels = tuple((v.name, v.place) for v in sheet.values["vessels"])
    check_names("vessel", vessels, sheet.problems)


def _steps(sheet: _Sheet) -> None:
    for block in sheet.sections.get("steps", []):
        if block.kind == "list" and block.items:
            marker = sheet.lines[block.start].strip()[:1]
            place = Place(block.start + 1, 1, 1, sheet.file)
            sheet.problems.append(mistake("steps-not-numbered", place, text=marker))
    items = _items("steps", sheet)
    materials = tuple(m.name for m in sheet.values.get("materials", ()))
    substances = tuple(s.name for s in sheet.values.get("substances", ()))
    vessels = tuple(v.name for v in sheet.values["vessels"])
    names = Names(materials + substances, vessels)
    steps = tuple(_step(n, item, names, sheet) for n, item in enumerate(items, 1))
    sheet.values["steps"] = steps
    if not steps and "steps" not in sheet.headings:
        last = max(1, len(sheet.lines))
        sheet.problems.append(mistake("no-steps", Place(last, 1, 1, sheet.file)))


def _step(number: int, item: Item, names: Names, sheet: _Sheet) -> Step:
    passage = item.passage
    if not passage.text:
        sheet.problems.append(mistake("step-empty", passage.place(), number=number))
    clauses, problems = read_step(passage, names)
    sheet.problems += problems
    return Step(number, clauses, passage.text, item.notes, passage.place())


def _observed(sheet: _Sheet) -> None:
    steps = len(sheet.values["steps"])
    items = _items("observed", sheet)
    found = (read_observation(item.passage, steps, sheet.problems) for item in items)
    sheet.values["observed"] = tuple(f for f in found if f is not None)
