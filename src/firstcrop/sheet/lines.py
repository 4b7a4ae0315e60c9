"""The list sections: `## Vessels`, `## Conditions` and `## Observed`, a line each."""

from __future__ import annotations

import re
from types import MappingProxyType

from firstcrop.problems import Problem
from firstcrop.quantity.read import read_quantity_noted
from firstcrop.quantity.records import Kind, Quantity
from firstcrop.sheet.fields import Field, fields_of, find_field, near_field
from firstcrop.sheet.hints import closest
from firstcrop.sheet.lexer import TokenKind, tokenize
from firstcrop.sheet.measures import WANTED, take
from firstcrop.sheet.mistakes import mistake
from firstcrop.sheet.page import Passage
from firstcrop.sheet.records import Observation, Setting, Vessel
from firstcrop.sheet.slots import find, hear

_CLOSED = re.compile(
    r"\b(?:closed|sealed|stoppered|screw[- ]cap(?:ped)?|airtight)\b", re.IGNORECASE
)
_WORDED_KINDS = MappingProxyType(
    {
        "temperature": Kind.TEMPERATURE,
        "pressure": Kind.PRESSURE,
        "fraction": Kind.FRACTION,
        "time": Kind.TIME,
        "mass": Kind.MASS,
        "volume": Kind.VOLUME,
        "pH": Kind.PH,
        "number": Kind.NUMBER,
    }
)


def split_item(passage: Passage) -> tuple[Passage, Passage] | None:
    """`name: rest` as two passages; None when there is no colon or one side is empty."""
    at = passage.text.find(":")
    if at < 0:
        return None
    name, rest = passage.part(0, at), passage.part(at + 1, len(passage.text))
    return (name, rest) if name.text and rest.text else None


def unclear(section: str, passage: Passage) -> Problem:
    """The Problem of a line that does not have the form of its section."""
    field = find_field("section", section)
    example = field.example if field else ""
    place = passage.place()
    return mistake("item-unclear", place, section=section, text=passage.text, example=example)


def read_vessel(passage: Passage, problems: list[Problem]) -> Vessel | None:
    """`beaker: 400 mL low-form beaker`."""
    parts = split_item(passage)
    if parts is None:
        problems.append(unclear("Vessels", passage))
        return None
    name, rest = parts
    text = rest.plain()
    capacity, form = None, text
    for token in tokenize(text):
        if token.kind is TokenKind.BLANK:
            where = rest.place(token.start, token.end)
            problems.append(
                mistake("blank-not-here", where, field="the size of a vessel", text=token.text)
            )
        if token.kind is TokenKind.QUANTITY and (found := take("volume", token.text)):
            capacity = found
            form = text[: token.start] + text[token.end :]
            break
    if capacity is None:
        problems.append(mistake("capacity-missing", rest.place(), text=name.text))
    form = _CLOSED.sub("", form).strip(" ,;.").lower()
    form = re.sub(r"^(?:an?|the)\s+", "", " ".join(form.split()))
    closed = _CLOSED.search(text) is not None
    label = " ".join(name.plain().split())
    return Vessel(label, rest.text, capacity, form, closed, name.place())


def read_setting(passage: Passage, problems: list[Problem]) -> Setting | None:
    """`room: 21 ± 2 °C`, `pressure: 743 mmHg`, `jurisdiction: Germany`."""
    parts = split_item(passage)
    if parts is None:
        problems.append(unclear("Conditions", passage))
        return None
    name, rest = parts
    known = find_field("condition", name.plain().strip())
    if known is None:
        near = near_field("condition", name.text)
        usual = [f.name for f in fields_of("condition")]
        hint = f"did you mean {near}?" if near else f"known are: {', '.join(usual)}"
        problems.append(mistake("condition-unknown", name.place(), text=name.text, near=hint))
        return None
    if known.kind == "text":
        return Setting(known.name, None, rest.text, name.place())
    quantity = _value(known, rest, problems)
    if quantity is None:
        return None
    return Setting(known.name, quantity, rest.text, name.place())


def read_observation(passage: Passage, steps: int, problems: list[Problem]) -> Observation | None:
    """`after step 3: 52 °C`, `crop 2: 4.1 g`, `pH after step 6: 2.5`."""
    parts = split_item(passage)
    if parts is None:
        problems.append(unclear("Observed", passage))
        return None
    name, rest = parts
    speech = hear(name.plain())
    match = find("subject", speech, 0)
    if match is None or match.end < len(speech.tokens):
        usual = (f.wordings[0] for f in fields_of("subject"))
        hint = closest(name.text, usual)
        problems.append(mistake("observed-unknown", name.place(), text=name.text, near=hint))
        return None
    values = dict(match.settings)
    subject, step = str(values["subject"]), values.get("step", 0)
    crop = int(str(values.get("crop", 0)))
    step = step if isinstance(step, int) else 0
    if "step" in values and not 1 <= step <= steps:
        problems.append(mistake("observed-step", name.place(), number=step, last=steps))
        return None
    if subject == "after step" and rest.text.lower().startswith("ph"):
        subject = "pH"
    known = next(f for f in fields_of("subject") if f.name == subject)
    quantity = _value(known, rest, problems)
    if quantity is None:
        return None
    return Observation(subject, step, crop, quantity, passage.text, passage.place())


def _value(known: Field, rest: Passage, problems: list[Problem]) -> Quantity | None:
    """The value of a line as the kind its field takes; pH and counts may stand bare."""
    text = re.sub(r"\s+of\s+theory$", "", rest.plain().strip().rstrip("."))
    text = f"pH {text}" if known.kind == "pH" and not text.lower().startswith("ph") else text
    place = rest.place()
    if "?" in text:
        problems.append(
            mistake("blank-not-here", place, field=f"the {known.name} value", text=rest.text)
        )
        return None
    quantity, noted = read_quantity_noted(text, place)
    if quantity is None:
        why = noted[0].message.rstrip(".") if noted else "no quantity"
        problems.append(_unreadable(known, rest, why))
        return None
    if not _fits(known.kind, quantity.kind):
        problems.append(_unreadable(known, rest, f"it is a {quantity.kind.value}"))
        return None
    problems += [mistake("decimal-comma", place, text=n.message) for n in noted]
    return quantity


def _fits(wanted: str, kind: Kind) -> bool:
    return kind in WANTED["amount"] if wanted == "amount" else kind is _WORDED_KINDS[wanted]


def _unreadable(known: Field, rest: Passage, why: str) -> Problem:
    return mistake(
        "value-unclear",
        rest.place(),
        text=rest.text,
        wanted=f"a {known.kind}",
        why=why,
        example=f"{known.wordings[0].lower()}: {known.example}",
    )
