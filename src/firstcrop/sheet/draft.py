"""A clause while it is being read: phrases set its fields, places remember where."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from dataclasses import fields as dataclass_fields
from types import MappingProxyType
from typing import Any

from firstcrop.problems import Place, Problem
from firstcrop.quantity.records import Quantity
from firstcrop.sheet.lexer import TokenKind
from firstcrop.sheet.measures import fraction, measure, worded
from firstcrop.sheet.mistakes import mistake
from firstcrop.sheet.records import (
    Basket,
    Blank,
    Clause,
    End,
    EndKind,
    Equivalents,
    Means,
    Verb,
)
from firstcrop.sheet.slots import Settings, Speech

Locate = Callable[[int, int], Place]  # characters start and end of a text -> place

# How a field is called when a message must name it.
FIELD_WORDS = MappingProxyType(
    {
        "amount": "the amount",
        "what": "what it acts on",
        "into": "the vessel it goes to",
        "source": "where it comes from",
        "over": "how long it takes",
        "rate": "the rate",
        "duration": "how long",
        "at": "the temperature it is at",
        "to_temperature": "the temperature to reach",
        "to_volume": "the volume to reach",
        "to_mass": "the mass to reach",
        "below": "the upper limit",
        "above": "the lower limit",
        "end": "the end",
        "solvent": "the solvent",
        "solvent_amount": "the amount of solvent",
        "portions": "the number of portions",
        "keep": "what is kept",
        "times": "the number of times",
        "stirred": "the stirring",
        "into_amount": "the amount acted upon",
        "of": "what the equivalents refer to",
    }
)
_WITHOUT_BLANK = frozenset({"below", "above", "times", "power", "bath"})


@dataclass(slots=True)
class Draft:
    """Fields of one clause so far. `objects` are further direct objects sharing its phrases."""

    verb: Verb
    start: int
    end: int
    speech: Speech
    locate: Locate
    fields: dict[str, Any] = field(default_factory=dict)
    spans: dict[str, tuple[int, int]] = field(default_factory=dict)
    objects: list[tuple[dict[str, Any], dict[str, tuple[int, int]]]] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    preset: frozenset[str] = frozenset()
    whole: bool = True  # every phrase so far was understood

    def place(self, start: int, end: int) -> Place:
        """The place of tokens start to end."""
        tokens = self.speech.tokens
        return self.locate(tokens[start].start, tokens[max(start, end - 1)].end)

    def words(self, start: int, end: int) -> str:
        """The text of tokens start to end as written."""
        tokens = self.speech.tokens
        last = tokens[max(start, end - 1)].end
        return self.speech.text[tokens[start].start : last]

    def apply(self, settings: Settings, start: int, end: int) -> None:
        """Set the fields a phrase at tokens start to end gives; report what is said twice."""
        values = dict(settings)
        values.pop("verb", None)
        if values.pop("vague", ""):
            words = self.words(start, end)
            self.problems.append(mistake("amount-vague", self.place(start, end), text=words))
        self.end = max(self.end, end)
        blank = self._blank(start, end)
        if blank is not None:
            self._refuse_blank(values, blank)
        kind = values.pop("means", "")
        if kind:
            self._means(str(kind), values, self.place(start, end))
        if "indicator" in values or "end" in values or "pH" in values:
            values["end"] = self._ending(values, self.place(start, end), blank)
        for name, value in values.items():
            self._set(name, value, start, end, blank)

    def _blank(self, start: int, end: int) -> Place | None:
        for i in range(start, end):
            if self.speech.tokens[i].kind is TokenKind.BLANK:
                return self.place(i, i + 1)
        return None

    def _refuse_blank(self, values: dict[str, object], place: Place) -> None:
        for name, value in values.items():
            if isinstance(value, Blank) and name in _WITHOUT_BLANK:
                words = FIELD_WORDS.get(name, name)
                self.problems.append(mistake("blank-not-here", place, field=words, text="?"))

    def _means(self, kind: str, values: dict[str, Any], place: Place) -> None:
        power, bath = values.pop("power", None), values.pop("bath", None)
        means = Means(
            kind,
            power if isinstance(power, Quantity) else None,
            bath if isinstance(bath, Quantity) else None,
            place,
        )
        self.fields["means"] = (*self.fields.get("means", ()), means)

    def _ending(self, values: dict[str, Any], place: Place, blank: Place | None) -> End:
        second = str(values.pop("indicator2", ""))
        indicator = f"{values.pop('indicator', '')} {second}".strip()
        if "pH" in values:
            value = values.pop("pH")
            if isinstance(value, Blank) and blank is not None:
                value = replace(value, place=blank)
            return End(EndKind.PH, value, "", place)
        kind, _, number = str(values.get("end", "endpoint")).partition(":")
        preset = measure(f"pH {number}") if number else None
        value = preset if isinstance(preset, Quantity) else None
        return End(EndKind(kind), value, indicator, place)

    def _set(self, name: str, value: Any, start: int, end: int, blank: Place | None) -> None:
        if name in ("adverb", "through"):
            word = str(value) if name == "adverb" else f"through {value}"
            self.fields["adverbs"] = (*self.fields.get("adverbs", ()), word)
            return
        if isinstance(value, Blank) and blank is not None:
            value = replace(value, place=blank)
        value = self._converted(name, value)
        if name in self.fields and name not in self.preset and self.fields[name] != value:
            self._twice(name, start, end)
            return
        self.preset -= {name}
        self.fields[name] = value
        self.spans[name] = (start, end)

    def _converted(self, name: str, value: Any) -> Any:
        """A value fixed by the wording table (a string there) as its field holds it."""
        convert = _CONVERTERS.get(name)
        return convert(value) if convert and isinstance(value, str) else value

    def _twice(self, name: str, start: int, end: int) -> None:
        before = self.spans.get(name, (start, end))
        places = (self.place(start, end), self.place(*before))
        self.problems.append(
            mistake(
                "said-twice",
                places,
                field=FIELD_WORDS.get(name, name),
                text=self.words(start, end),
                other=self.words(*before),
            )
        )

    def put_object_aside(self) -> None:
        """Make room for another direct object; the one read before makes a clause of its own."""
        fields = {k: self.fields.pop(k) for k in _OWN if k in self.fields}
        spans = {k: self.spans.pop(k) for k in _OWN if k in self.spans}
        self.objects.append((fields, spans))

    def clauses(self) -> list[Clause]:
        """The clauses said: one for each direct object; `combine A and B` puts B to A."""
        objects = self.objects
        if objects and self.verb is Verb.COMBINE and "into" not in self.fields:
            (first, where), *objects = objects
            self.fields["into"], self.spans["into"] = first.get("what", ""), where["what"]
        shared = {k: v for k, v in self.fields.items() if k in _SHARED}
        spans = {k: v for k, v in self.spans.items() if k in _SHARED}
        own = [self._clause({**shared, **f}, {**spans, **s}) for f, s in objects]
        return [*own, self._clause(self.fields, self.spans)]

    def _clause(self, fields: dict[str, Any], spans: dict[str, tuple[int, int]]) -> Clause:
        values = {k: v for k, v in fields.items() if k not in ("swap", "reflux", "of")}
        of = fields.get("of", "")
        if of and isinstance(values.get("amount"), Equivalents):
            values["amount"] = replace(values["amount"], of=of)
        last = min(self.end, len(self.speech.tokens))
        places = [(n, self.place(*s)) for n, s in spans.items() if n in _PLACED]
        if values.get("means"):
            places.append(("means", values["means"][0].place))
        where = self.place(self.start, last)
        return Clause(self.verb, **values, place=where, places=tuple(places))


_OWN = ("amount", "what", "times", "hot", "cold", "at")
_SHARED = frozenset({"into", "source", "below", "above", "means", "covered", "stirred", "adverbs"})
_PLACED = frozenset(f.name for f in dataclass_fields(Clause)) - {"means", "adverbs"}


def _flag(text: str) -> bool:
    return text == "true"


_CONVERTERS: MappingProxyType[str, Callable[[str], Any]] = MappingProxyType(
    {
        **dict.fromkeys(("covered", "hot", "cold", "reflux", "swap", "stirred"), _flag),
        **dict.fromkeys(("portions", "times"), int),
        **dict.fromkeys(("duration", "at"), worded),
        "keep": Basket,
        "to_volume": lambda text: fraction(float(text)),
    }
)
