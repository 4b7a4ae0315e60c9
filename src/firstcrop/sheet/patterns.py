"""Wordings of the sheet language: rows of wording.tsv expanded to sequences of words and slots.

A row such as `to [a] constant (mass|weight)` stands for every sequence it allows. The grammar
is flat on purpose: ordinary English leaves the order of phrases free, so a clause is a verb and
then any phrases, each the longest wording that matches where the reader stands.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType

_LEXEME = re.compile(r"\{[^}]*\}|[\[\]()|]|[^\s\[\](){}|]+")


@dataclass(frozen=True, slots=True)
class Slot:
    """A gap in a wording: the kind of thing that fills it and the field it sets."""

    kind: str
    field: str


Item = str | Slot


@dataclass(frozen=True, slots=True)
class Wording:
    """One sequence of words and slots, and what it sets besides its slots."""

    group: str
    sets: tuple[tuple[str, str], ...]
    items: tuple[Item, ...]
    row: int

    def get(self, name: str) -> str:
        """The fixed value of `name`, empty when the row does not set it."""
        return next((value for key, value in self.sets if key == name), "")


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """All wordings by group and first word ('' when one starts with a slot), longest first."""

    wordings: tuple[Wording, ...]
    index: Mapping[tuple[str, str], tuple[Wording, ...]]
    stops: frozenset[str]  # words that end a name

    def starting(self, group: str, word: str) -> Iterator[Wording]:
        """Wordings of `group` that may start with `word`."""
        yield from self.index.get((group, word), ())
        yield from self.index.get((group, ""), ())

    def of(self, group: str) -> tuple[Wording, ...]:
        """Every wording of a group, in the order of the table."""
        return tuple(w for w in self.wordings if w.group == group)


@cache
def load_vocabulary() -> Vocabulary:
    """The wordings shipped with the package."""
    text = (files("firstcrop.sheet") / "wording.tsv").read_text(encoding="utf-8")
    wordings = tuple(_wordings(text))
    index: dict[tuple[str, str], list[Wording]] = {}
    for wording in wordings:
        first = wording.items[0]
        key = (wording.group, first if isinstance(first, str) else "")
        index.setdefault(key, []).append(wording)
    ordered = {k: tuple(sorted(v, key=_longest_first)) for k, v in index.items()}
    stops = {w for group, w in index if group == "phrase" and w}
    determiners = {w for group, w in index if group == "noise"}
    return Vocabulary(wordings, MappingProxyType(ordered), frozenset(stops - determiners))


def _longest_first(wording: Wording) -> tuple[int, int]:
    return -len(wording.items), wording.row


def _wordings(text: str) -> Iterator[Wording]:
    rows = [line for line in text.splitlines() if line and not line.startswith("#")]
    for number, row in enumerate(rows[1:]):
        group, sets, pattern = row.split("\t")
        fixed = tuple(_setting(s) for s in _settings(sets))
        seen: set[tuple[Item, ...]] = set()
        for items in expand(pattern):
            if items and items not in seen:
                seen.add(items)
                yield Wording(group, fixed, items, number)


def _settings(sets: str) -> list[str]:
    return re.findall(r"\w+=.*?(?=\s\w+=|$)", sets)


def _setting(text: str) -> tuple[str, str]:
    key, _, value = text.partition("=")
    return key, value.strip()


def expand(pattern: str) -> list[tuple[Item, ...]]:
    """Every sequence a pattern allows, fullest first."""
    lexemes = _LEXEME.findall(pattern)
    sequences, rest = _choice(lexemes, 0)
    assert rest == len(lexemes), f"unbalanced brackets in the wording {pattern!r}"
    return sequences


def _choice(lexemes: list[str], i: int) -> tuple[list[tuple[Item, ...]], int]:
    found, i = _sequence(lexemes, i)
    while i < len(lexemes) and lexemes[i] == "|":
        more, i = _sequence(lexemes, i + 1)
        found = found + more
    return found, i


def _sequence(lexemes: list[str], i: int) -> tuple[list[tuple[Item, ...]], int]:
    found: list[tuple[Item, ...]] = [()]
    while i < len(lexemes) and lexemes[i] not in ("|", ")", "]"):
        if lexemes[i] in ("(", "["):
            inner, end = _choice(lexemes, i + 1)
            options = inner if lexemes[i] == "(" else [*inner, ()]
            i = end + 1
        else:
            options, i = [(_item(lexemes[i]),)], i + 1
        found = [head + tail for head in found for tail in options]
    return found, i


def _item(lexeme: str) -> Item:
    if not lexeme.startswith("{"):
        return lexeme.lower()
    kind, _, name = lexeme[1:-1].partition(":")
    return Slot(kind, name)
