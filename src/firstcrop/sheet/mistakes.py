"""The problems the sheet reader reports, worded in one table: mistakes.tsv."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from firstcrop.problems import Place, Problem, Severity

LONGEST_QUOTE = 60


@cache
def load_mistakes() -> Mapping[str, tuple[Severity, str, str]]:
    """code -> severity, message and hint, with {words} to fill in."""
    text = (files("firstcrop.sheet") / "mistakes.tsv").read_text(encoding="utf-8")
    rows = [line.split("\t") for line in text.splitlines() if line and not line.startswith("#")]
    return MappingProxyType({r[0]: (Severity(r[1]), r[2], r[3]) for r in rows[1:]})


def mistake(code: str, place: Place | tuple[Place, ...], **words: object) -> Problem:
    """The Problem `code` at `place`; long quoted texts are cut.

    Raises KeyError when the table lacks the code or a word is missing (a bug, not a mistake).
    """
    severity, message, hint = load_mistakes()[code]
    filled = {k: quote(v) if k in ("text", "other") else v for k, v in words.items()}
    places = place if isinstance(place, tuple) else (place,)
    return Problem(code, message.format(**filled), places, hint.format(**filled), severity)


def quote(value: object) -> object:
    """A text short enough to quote, on one line; anything else as it is."""
    if not isinstance(value, str):
        return value
    flat = " ".join(value.split())
    return flat if len(flat) <= LONGEST_QUOTE else flat[: LONGEST_QUOTE - 1] + "…"
