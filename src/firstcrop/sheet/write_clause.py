"""Print a Clause from its fields alone, so that reading it again gives the same Clause."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from types import MappingProxyType

from firstcrop.quantity.records import Kind, Quantity
from firstcrop.quantity.write import write_quantity
from firstcrop.sheet.measures import measure
from firstcrop.sheet.patterns import load_vocabulary
from firstcrop.sheet.records import (
    Amount,
    Blank,
    Clause,
    End,
    EndKind,
    Equivalents,
    Excess,
    Means,
    Rest,
    Verb,
)

_WITH_VERBS = frozenset({Verb.WASH, Verb.DILUTE, Verb.MAKE_UP, Verb.TITRATE})
_WORDED = MappingProxyType(
    {
        "room": "room temperature",
        "boiling": "the boiling point",
        "ice": "ice temperature",
    }
)


def write_value(value: Quantity | Blank) -> str:
    """A quantity as written when it still means the same, else written anew; `? unit`."""
    if isinstance(value, Blank):
        return f"? {value.unit}".rstrip()
    if value.unit in _WORDED:
        return _WORDED[value.unit]
    if value.kind is Kind.FRACTION and not value.band and (word := _fraction(value.value)):
        return word
    if value.text and measure(value.text) == value:
        return value.text
    return write_quantity(value)


def _fraction(value: float) -> str:
    for wording in load_vocabulary().of("fraction"):
        if float(wording.get("value")) == value:
            return " ".join(str(i) for i in wording.items)
    return ""


def write_amount(amount: Amount) -> str:
    """`5 mL of`, `half of`, `the rest of`, `an excess of`, `1.1 equiv of`, `? mL of`."""
    if isinstance(amount, Rest):
        return "the rest of"
    if isinstance(amount, Excess):
        return "an excess of"
    if isinstance(amount, Equivalents):
        return f"{write_value(amount.count)} of"
    if isinstance(amount, Quantity) and amount.kind is Kind.FRACTION and amount.value == 1.0:
        return "all of"
    return f"{write_value(amount)} of"


def write_clause(clause: Clause) -> str:
    """One sentence without its full stop; `read_step` reads it back to an equal Clause."""
    phrases = (
        *_opening(clause),
        *_solvent(clause),
        *_places(clause),
        *_pace(clause),
        *_heat(clause),
        *_ending(clause),
    )
    text = " ".join(p for p in phrases if p)
    tail = [t for t in _tail(clause) if t]
    return ", ".join([text, *tail])


def _opening(clause: Clause) -> Iterator[str]:
    """The verb and its objects."""
    verb = clause.verb
    if verb is Verb.STAND:
        yield f"let {_the(clause.what)} stand" if clause.what else "let stand"
        return
    used = _object(clause.amount, clause.what, clause.times, clause.cold and not clause.solvent)
    if verb in _WITH_VERBS or clause.into_amount is not None:
        yield "treat" if verb is Verb.ADD else verb.value
        yield _object(clause.into_amount, clause.into, 1, False)
        yield f"with {used}" if clause.what or clause.amount is not None else used
    else:
        yield verb.value
        yield used


def _object(amount: Amount | None, name: str, times: int, cold: bool) -> str:
    if amount is None and not name:
        return ""
    thing = f"{'cold ' if cold else ''}{name}"
    if amount is None:
        return f"the {thing}"
    count = f"{times} x " if times > 1 and _countable(amount) else ""
    article = "" if isinstance(amount, Quantity | Blank | Equivalents) else "the "
    article = "the " if _is_part(amount) else article
    written = f"{count}{write_amount(amount)}"
    return f"{written} {article}{thing}" if name else written.removesuffix(" of")


def _countable(amount: Amount | None) -> bool:
    return amount is not None and not isinstance(amount, Rest | Excess) and not _is_part(amount)


def _is_part(amount: Amount | None) -> bool:
    return isinstance(amount, Quantity) and amount.kind is Kind.FRACTION


def _the(name: str) -> str:
    return f"the {name}"


def _solvent(clause: Clause) -> Iterator[str]:
    if clause.solvent:
        cold = "cold " if clause.cold else ""
        amount = clause.solvent_amount
        yield (
            f"in {write_amount(amount)} {cold}{clause.solvent}"
            if amount is not None
            else (f"in {cold}{clause.solvent}")
        )


def _places(clause: Clause) -> Iterator[str]:
    if isinstance(clause.amount, Equivalents) and clause.amount.of:
        yield f"relative to the {clause.amount.of}"
    if clause.source:
        yield f"from {_the(clause.source)}"
    object_first = clause.verb in _WITH_VERBS or clause.into_amount is not None
    if clause.into and not object_first:
        word = {Verb.PUT: "in", Verb.ADD: "to", Verb.RETURN: "to"}.get(clause.verb, "into")
        yield f"{word} {_the(clause.into)}"


def _pace(clause: Clause) -> Iterator[str]:
    if clause.at is not None:
        yield f"at {write_value(clause.at)}"
    if clause.portions is not None:
        yield _portions(clause.portions)
    if clause.over is not None:
        over = clause.over  # "over overnight" is no English
        yield f"over {write_value(over if isinstance(over, Blank) else replace(over, text=''))}"
    if clause.rate is not None:
        yield f"at {write_value(clause.rate)}"


def _portions(portions: int | Blank) -> str:
    if isinstance(portions, Blank):
        return "in ? portions"
    return f"in {portions} portion{'s' if portions != 1 else ''}"


def _heat(clause: Clause) -> Iterator[str]:
    if clause.to_temperature is not None:
        yield f"to {write_value(clause.to_temperature)}"
    if clause.to_volume is not None:
        part = isinstance(clause.to_volume, Quantity) and clause.to_volume.kind is Kind.FRACTION
        yield f"to {write_value(clause.to_volume)}{' of its volume' if part else ''}"
    if clause.to_mass is not None:
        yield f"to {write_value(clause.to_mass)}"
    yield from (write_means(m) for m in clause.means)
    if clause.duration is not None:
        text = write_value(clause.duration)
        yield text if text.strip().lower() == "overnight" else f"for {text}"


def write_means(means: Means) -> str:
    """`in an ice bath`, `on a 300 W hotplate`, `in an oven at 110 °C`."""
    rows = (w for w in load_vocabulary().of("phrase") if w.get("means") == means.kind)
    text = " ".join(str(i) for i in next(rows).items)
    if means.power is not None:
        head, _, noun = text.rpartition(" ")
        text = f"{head.replace(' an', ' a')} {write_value(means.power)} {noun}"
    return f"{text} at {write_value(means.temperature)}" if means.temperature else text


def _ending(clause: Clause) -> Iterator[str]:
    if clause.end is not None:
        yield write_end(clause.end)


def write_end(end: End) -> str:
    """`to pH 3`, `until dissolved`, `to the phenolphthalein endpoint`."""
    if end.kind is EndKind.PH:
        value = write_value(end.value) if end.value is not None else "?"
        return f"to pH {value.removesuffix(' pH').removeprefix('pH ')}"
    if end.kind is EndKind.ENDPOINT:
        return f"to the {end.indicator} endpoint" if end.indicator else "to the endpoint"
    rows = (w for w in load_vocabulary().of("phrase") if w.get("end") == end.kind.value)
    return " ".join(str(i) for i in next(rows).items)


def _tail(clause: Clause) -> Iterator[str]:
    """Phrases set off by commas."""
    if clause.times > 1 and not _countable(clause.amount):
        yield f"{clause.times} times"
    if clause.hot:
        yield "hot"
    if clause.below is not None and clause.above is not None:
        yield f"keeping above {write_value(clause.above)}"
        yield f"keeping below {write_value(clause.below)}"
    elif clause.below is not None:
        yield f"keeping below {write_value(clause.below)}"
    elif clause.above is not None:
        yield f"keeping above {write_value(clause.above)}"
    if clause.covered:
        yield "covered"
    if clause.stirred is not None:
        yield "with stirring" if clause.stirred else "without stirring"
    yield from clause.adverbs
    if clause.keep is not None:
        yield f"keeping the {clause.keep.value}"


def write_clauses(clauses: Iterable[Clause]) -> str:
    """Sentences, one a clause."""
    texts = (write_clause(c) for c in clauses)
    return " ".join(f"{t[:1].upper()}{t[1:]}." for t in texts)
