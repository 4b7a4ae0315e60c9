"""Wordings of the sheet language: rows of wording.tsv expanded to sequences of words and slots.

A row such as `to [a] constant (mass|weight)` stands for every sequence it allows. The grammar
is flat on purpose: ordinary English leaves the order of phrases free, so a clause is a verb and
then any phrases, each the longest wording that matches where the reader stands.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
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
Settings = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Wording:
    """One sequence of words and slots, and what it sets besides its slots."""

    group: str
    sets: Settings
    row: int
    items: tuple[Item, ...] = ()  # empty inside the tree, where the path tells

    def get(self, name: str) -> str:
        """The fixed value of `name`, empty when the row does not set it."""
        return next((value for key, value in self.sets if key == name), "")


@dataclass(slots=True)
class Node:
    """A point inside wordings: what may come next, and the wording that may end here."""

    words: dict[str, Node] = field(default_factory=dict)
    slots: dict[Slot, Node] = field(default_factory=dict)
    wording: Wording | None = None

    def next(self, item: Item) -> Node:
        """The node behind `item`, made when it is new."""
        if isinstance(item, str):
            return self.words.setdefault(item, Node())
        return self.slots.setdefault(item, Node())


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """The wordings of each group as a tree of shared beginnings."""

    rows: tuple[tuple[str, Settings, str], ...]  # group, sets, pattern
    trees: Mapping[str, Node]
    stops: frozenset[str]  # words that end a name

    def of(self, group: str) -> tuple[Wording, ...]:
        """Every wording of a group, in the order of the table, fullest first in a row."""
        return _expanded(group)


@cache
def load_vocabulary() -> Vocabulary:
    """The wordings shipped with the package."""
    text = (files("firstcrop.sheet") / "wording.tsv").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    rows = tuple(_row(line) for line in lines[1:])
    trees: dict[str, Node] = {}
    for number, (group, sets, pattern) in enumerate(rows):
        _plant(trees.setdefault(group, Node()), Wording(group, sets, number), pattern)
    stops = set(trees["phrase"].words) | set(trees["stop"].words)
    return Vocabulary(rows, MappingProxyType(trees), frozenset(stops - set(trees["noise"].words)))


def _row(line: str) -> tuple[str, Settings, str]:
    group, sets, pattern = line.split("\t")
    return group, tuple(_setting(s) for s in _settings(sets)), pattern


def _plant(root: Node, wording: Wording, pattern: str) -> None:
    """Let every sequence of a pattern end in `wording`; an earlier row keeps its place."""
    ends, _ = _grow([root], _LEXEME.findall(pattern), 0)
    for node in ends:
        if node is not root and (node.wording is None or node.wording.row > wording.row):
            node.wording = wording


def _grow(starts: list[Node], lexemes: list[str], i: int) -> tuple[list[Node], int]:
    """The nodes a choice of sequences leads to from `starts`, and where it ends."""
    found: dict[int, Node] = {}
    while True:
        nodes = starts
        while i < len(lexemes) and lexemes[i] not in ("|", ")", "]"):
            if lexemes[i] in ("(", "["):
                inner, end = _grow(nodes, lexemes, i + 1)
                nodes = inner if lexemes[i] == "(" else [*inner, *nodes]
                i = end + 1
            else:
                item = _item(lexemes[i])
                nodes, i = [node.next(item) for node in nodes], i + 1
        found.update((id(n), n) for n in nodes)
        if i >= len(lexemes) or lexemes[i] != "|":
            return list(found.values()), i
        i += 1


@cache
def _expanded(group: str) -> tuple[Wording, ...]:
    found: dict[Wording, None] = {}
    for number, (name, sets, pattern) in enumerate(load_vocabulary().rows):
        if name == group:
            found.update((Wording(group, sets, number, i), None) for i in expand(pattern) if i)
    return tuple(found)


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
