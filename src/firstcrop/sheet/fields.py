"""The names a sheet may use for sections, columns, conditions and observations: fields.tsv."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from importlib.resources import files


@dataclass(frozen=True, slots=True)
class Field:
    """One name with its wordings, the kind of value it takes and an example."""

    group: str
    name: str
    wordings: tuple[str, ...]
    kind: str
    example: str


@cache
def load_fields() -> tuple[Field, ...]:
    """Every row of the table."""
    text = (files("firstcrop.sheet") / "fields.tsv").read_text(encoding="utf-8")
    rows = [line.split("\t") for line in text.splitlines() if line and not line.startswith("#")]
    return tuple(
        Field(r[0], r[1], tuple(w.strip() for w in r[2].split(";")), r[3], r[4]) for r in rows[1:]
    )


def fields_of(group: str) -> tuple[Field, ...]:
    """The rows of one group."""
    return tuple(f for f in load_fields() if f.group == group)


def find_field(group: str, text: str) -> Field | None:
    """The row a heading or name means, whatever its case; None when it is none of them."""
    low = " ".join(text.lower().split())
    return next((f for f in fields_of(group) if low in (w.lower() for w in f.wordings)), None)


def near_field(group: str, text: str, cutoff: float = 0.75) -> str:
    """The usual wording nearest to `text`, empty when none is near."""
    known = {w.lower(): f.wordings[0] for f in fields_of(group) for w in f.wordings}
    close = get_close_matches(" ".join(text.lower().split()), known, n=1, cutoff=cutoff)
    return known[close[0]] if close else ""
