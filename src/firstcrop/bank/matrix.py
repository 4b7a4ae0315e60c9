"""The published reactivity-group matrix, and words in names nobody knows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from firstcrop.bank.records import Obtained
from firstcrop.bank.tables import read_table


@dataclass(frozen=True, slots=True)
class EpaGroup:
    """A reactivity group of EPA-600/2-80-076 and what of ours falls in it."""

    number: int
    name: str
    groups: frozenset[str]
    members: frozenset[str]


@dataclass(frozen=True, slots=True)
class Cell:
    """What two groups do together: H, F, G, GT, GF, E, P, S, U as printed."""

    codes: tuple[str, ...]
    obtained: Obtained


@cache
def epa_groups() -> tuple[EpaGroup, ...]:
    """Every row of `epa_groups.tsv`."""
    return tuple(
        EpaGroup(
            int(row.text("number")),
            row.text("name"),
            frozenset(row.names("groups")),
            frozenset(row.names("members")),
        )
        for row in read_table("epa_groups")
    )


@cache
def epa_matrix() -> Mapping[tuple[int, int], Cell]:
    """The cells of `epa_matrix.tsv`, the lower number first. A cell that is absent says nothing."""
    return MappingProxyType(
        {
            (int(row.text("a")), int(row.text("b"))): Cell(
                row.names("codes"), Obtained(row.text("obtained"))
            )
            for row in read_table("epa_matrix")
        }
    )


@cache
def name_words() -> tuple[tuple[str, frozenset[str]], ...]:
    """(word, groups) of `name_words.tsv`, the longest word first."""
    rows = [(row.text("word"), frozenset(row.names("groups"))) for row in read_table("name_words")]
    return tuple(sorted(rows, key=lambda row: -len(row[0])))
