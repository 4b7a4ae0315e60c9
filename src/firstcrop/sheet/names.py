"""Names of materials and vessels as a step writes them, and words for what is at hand."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from difflib import get_close_matches
from functools import cache, lru_cache
from types import MappingProxyType

from firstcrop.sheet.patterns import load_vocabulary

_ARTICLES = re.compile(r"^(?:the|a|an)\s+", re.IGNORECASE)


@lru_cache(maxsize=1024)
def fold(name: str) -> str:
    """One spelling for one name: no article, single spaces, lower case unless it is a formula.

    >>> fold("the  Caustic potash"), fold("NaOH")
    ('caustic potash', 'NaOH')
    """
    words = _ARTICLES.sub("", " ".join(name.split())).split(" ")
    return " ".join(w if _is_formula(w) else w.lower() for w in words)


def _is_formula(word: str) -> bool:
    capitals = sum(c.isupper() for c in word)
    return word[:1] in "[(" or (
        word[:1].isupper()
        and (capitals > 1 or any(c.isdigit() for c in word) or (len(word) <= 2 and word.isalpha()))
    )


def same_name(one: str, other: str) -> bool:
    """Whether two spellings name one thing: article, case, spacing and a plural s set aside."""
    return _singular(fold(one)) == _singular(fold(other))


def _singular(name: str) -> str:
    low = name.lower()
    return low[:-1] if low.endswith("s") and not low.endswith("ss") and len(low) > 3 else low


def declared(name: str, known: tuple[str, ...]) -> str:
    """The folded spelling under which the sheet declares `name`, empty when it does not.

    A shorter form names a declared thing when it ends exactly one of them: "the acid" where
    only "dilute acid" is declared. Water never does: plain water needs no declaration.
    """
    spelled = _singular(fold(name))
    exact = _spellings(known).get(spelled)
    if exact is not None:
        return exact
    ends = {full for key, full in _spellings(known).items() if key.endswith(f" {spelled}")}
    return ends.pop() if len(ends) == 1 and spelled not in ("water", *baskets()) else ""


@lru_cache(maxsize=256)
def _spellings(known: tuple[str, ...]) -> Mapping[str, str]:
    return MappingProxyType({_singular(fold(k)): fold(k) for k in reversed(known)})


def near(name: str, known: Iterable[str]) -> str:
    """The declared name of as many words that is spelled almost so, empty when none is."""
    spelled = {k.lower(): k for k in known if len(k.split()) == len(name.split())}
    if any(same_name(name, k) for k in spelled):
        return ""
    close = get_close_matches(name.lower(), spelled, n=1, cutoff=0.8)
    return spelled[close[0]] if close else ""


@cache
def baskets() -> Mapping[str, str]:
    """Every wording for a part of what is at hand -> its Basket value."""
    pairs = ((w.items, w.get("basket")) for w in load_vocabulary().of("basket"))
    return MappingProxyType({" ".join(str(i) for i in items): value for items, value in pairs})


def is_vessel(name: str, vessels: Iterable[str]) -> bool:
    """Whether a name is a declared vessel or ends in a word for one: "the round flask"."""
    nouns = {" ".join(str(i) for i in w.items) for w in load_vocabulary().of("vessel")}
    words = [w for w in name.lower().split() if not w.isdigit()]
    return any(same_name(name, v) for v in vessels) or bool(words and words[-1] in nouns)
