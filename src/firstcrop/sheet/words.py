"""The words of the language by kind, for completion and for lists people read."""

from __future__ import annotations

from functools import cache

from firstcrop.sheet.hints import example
from firstcrop.sheet.patterns import load_vocabulary
from firstcrop.sheet.records import EndKind, Verb


@cache
def verbs() -> tuple[tuple[Verb, tuple[str, ...]], ...]:
    """Every verb with the wordings that mean it, its own first."""
    return tuple((verb, _wordings("verb", "verb", verb.value)) for verb in Verb)


@cache
def means() -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Every kind of `Means` with its wordings, the one that is printed first."""
    found = (w.get("means") for w in load_vocabulary().of("phrase"))
    kinds = tuple(dict.fromkeys(k for k in found if k))
    return tuple((kind, _wordings("phrase", "means", kind)) for kind in kinds)


@cache
def ends() -> tuple[tuple[EndKind, tuple[str, ...]], ...]:
    """Every kind of end but a pH with its wordings, the one that is printed first."""
    kinds = (kind for kind in EndKind if kind is not EndKind.PH)
    return tuple((kind, _wordings("phrase", "end", kind.value)) for kind in kinds)


@cache
def phrases() -> tuple[str, ...]:
    """The fullest form of every row of phrases, its gaps filled with ordinary values."""
    rows: dict[int, str] = {}
    for wording in load_vocabulary().of("phrase"):
        rows.setdefault(wording.row, example(wording))
    return tuple(rows.values())


def _wordings(group: str, key: str, value: str) -> tuple[str, ...]:
    """The wordings of a group whose row sets `key` to `value`, in the order of the table."""
    found = (w for w in load_vocabulary().of(group) if w.get(key) == value)
    return tuple(dict.fromkeys(example(w) for w in found))
