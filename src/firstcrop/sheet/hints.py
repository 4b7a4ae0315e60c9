"""The nearest wording the language knows, for what it did not understand."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import SequenceMatcher, get_close_matches
from functools import cache, lru_cache
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from firstcrop.sheet.measures import EXAMPLES
from firstcrop.sheet.patterns import Item, Wording, load_vocabulary

_SHOWN = 3
_ENOUGH = 0.55
_COMPARED = 60

Counts = npt.NDArray[np.int64]


def example(wording: Wording) -> str:
    """A wording with its slots filled by an ordinary value."""
    return " ".join(_word(item) for item in wording.items)


def _word(item: Item) -> str:
    return item if isinstance(item, str) else EXAMPLES[item.kind]


@cache
def examples(group: str) -> tuple[str, ...]:
    """The fullest form of every row of a group, filled with ordinary values."""
    rows: dict[int, str] = {}
    found = load_vocabulary().of(group)
    for wording in found:
        rows.setdefault(wording.row, example(wording))
    return tuple(dict.fromkeys(example(w) for w in found) if group == "verb" else rows.values())


@cache
def phrase_forms() -> tuple[str, ...]:
    """Every wording of a phrase with its slots filled, shortest first."""
    forms = {example(w) for w in load_vocabulary().of("phrase")}
    return tuple(sorted(forms, key=lambda f: (len(f), f)))


@cache
def _usual() -> frozenset[str]:
    return frozenset(examples("phrase"))


def _possible(text: str) -> list[int]:
    """Places in `phrase_forms` of the few dozen that share the most pairs of letters with a text:
    only these are compared letter by letter."""
    pairs, sizes = _pairs()
    alike = np.minimum(pairs, _counted(text)).sum(axis=1) / (sizes + max(len(text), 1))
    return sorted(int(at) for at in np.argsort(-alike, kind="stable")[:_COMPARED])


@cache
def _pairs() -> tuple[Counts, Counts]:
    rows = [_counted(form) for form in phrase_forms()]
    return np.array(rows), np.array([len(form) for form in phrase_forms()])


def _counted(text: str) -> Counts:
    """How often each pair of letters occurs; rare ones share places."""
    places = [(ord(a) * 31 + ord(b)) % 256 for a, b in pairwise(f" {text} ")]
    return np.bincount(places, minlength=256)


@lru_cache(maxsize=1024)
def nearest(group: str, text: str) -> str:
    """`nearest known wording: ...` for a text of a verb or a phrase, with the list if none is."""
    if group == "verb":
        return _nearest_verb(text)
    best, score = "", 0.0
    words = text.lower().split()[:8]
    matcher = SequenceMatcher(autojunk=False)
    matcher.set_seq2(" ".join(words))
    forms = phrase_forms()
    for at in _possible(" ".join(words)):
        form = forms[at]
        bonus = 0.1 if words and form.split(" ", 1)[0] == words[0] else 0.0
        bonus += 0.05 if form in _usual() else 0.0
        matcher.set_seq1(form)
        if matcher.real_quick_ratio() + bonus < score:
            continue
        ratio = matcher.ratio() + bonus
        if ratio > score:
            best, score = form, ratio
    if score < _ENOUGH:
        return "see the phrases in docs/language.md, or put the remark under the step"
    return f"nearest known wording: {best}"


def _nearest_verb(text: str) -> str:
    known = examples("verb")
    words = text.lower().split()
    tries = (" ".join(words[:n]) for n in (1, 2) if len(words) >= n)
    close = next(
        (c for t in tries if (c := get_close_matches(t, _starting(known, t), 1, 0.84))), []
    )
    if close:
        return f"nearest known wording: {close[0]}"
    return "a step starts with a verb: put, add, dissolve, heat, cool, filter, wash, dry ..."


def _starting(known: tuple[str, ...], text: str) -> list[str]:
    return [k for k in known if k[:1] == text[:1]]


def closest(text: str, known: Iterable[str]) -> str:
    """`did you mean ...?` among a few names, else the list of them."""
    names = tuple(known)
    close = get_close_matches(text.lower(), [n.lower() for n in names], n=1, cutoff=0.6)
    if close:
        return f"did you mean {next(n for n in names if n.lower() == close[0])}?"
    return f"known are: {', '.join(names)}"
