"""What firstcrop does not plan: explosives, scheduled agents and precursors, drugs.

By identity (name, CAS number), by a few plain rules over formulas, and by mixtures met in one
vessel. The answer is one sentence without particulars.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from functools import cache

from firstcrop.bank.lookup import Named, plain_name
from firstcrop.bank.mixing import StopMixture, load_stop_mixtures, load_stops
from firstcrop.cautions.contents import Contents
from firstcrop.cautions.groups import groups_of
from firstcrop.cautions.story import Meeting, tell
from firstcrop.cautions.structure import forbidden, forbidden_line
from firstcrop.chem.formula import Formula, parse_formula
from firstcrop.problems import Problem
from firstcrop.sheet.records import Preparation

LINE_HEADINGS = ("smiles", "structure", "line notation")
REFUSAL = (
    "firstcrop does not plan this: it concerns an explosive, a drug, or an agent or precursor "
    "that the law schedules."
)
_CAS = re.compile(r"\b\d{2,7}-\d{2}-\d\b")
LONG = 10  # letters from which a name is found inside a text whatever breaks it up
_SHORT = 5  # letters; a shorter identity in capitals is matched as it is written


def refuse(preparation: Preparation, bank: Named) -> str:
    """The refusal, or '' when the sheet may be planned."""
    names = tuple(_names(preparation))
    if any(_named(text, whole) for text, whole in names):
        return REFUSAL
    if any(_numbered(text) for text in _numbers(preparation)):
        return REFUSAL
    if any(forbidden(formula) for formula in _formulas(preparation)):
        return REFUSAL
    if any(forbidden_line(text) for text in _lines(preparation)):
        return REFUSAL
    story = tell(preparation, bank)
    if any(_forbidden_mixture(m) for m in story.meetings if not m.where):
        return REFUSAL
    return ""


def _names(prep: Preparation) -> Iterator[tuple[str, bool]]:
    """(text, whether it is the whole of a name) of everything that names matter or an aim."""
    for title in (prep.title, prep.makes):
        yield title, False
    yield prep.target, True
    yield prep.target_formula, True
    for material in prep.materials:
        yield material.name, True
        yield material.substance, True
    for row in prep.substances:
        yield row.name, True
        for heading, text in row.cells:
            if heading.strip().lower() in ("name", "names", "synonyms", "formula", "substance"):
                yield text, True
    for step in prep.steps:
        for clause in step.clauses:
            yield clause.what, True
            yield clause.solvent, True


def _numbers(prep: Preparation) -> Iterator[str]:
    for material in prep.materials:
        yield from (material.name, material.substance, material.notes)
    for row in prep.substances:
        yield from (text for _, text in row.cells)
    yield prep.makes


def _formulas(prep: Preparation) -> Iterator[Formula]:
    texts = [prep.target_formula, prep.target]
    for material in prep.materials:
        texts += [material.substance, material.name]
    for row in prep.substances:
        texts += [text for heading, text in row.cells if "formula" in heading.lower()]
    for step in prep.steps:
        texts += [clause.what for clause in step.clauses]
    for text in texts:
        formula = _formula(text)
        if formula is not None:
            yield formula
    for reaction in prep.reactions:
        for term in (*reaction.equation.left, *reaction.equation.right):
            yield term.formula


def refused_name(text: str) -> str:
    """The refusal when a name, CAS number or formula by itself is never planned, else ''."""
    formula = _formula(text)
    told = formula is not None and forbidden(formula)
    return REFUSAL if told or _named(text, True) or _numbered(text) else ""


def _lines(prep: Preparation) -> Iterator[str]:
    """Structures written as lines of atoms (SMILES) in a Substances table."""
    for row in prep.substances:
        yield from (t for heading, t in row.cells if heading.strip().lower() in LINE_HEADINGS)


def _formula(text: str) -> Formula | None:
    if not text or text == text.lower():
        return None
    formula = parse_formula(text)
    return None if isinstance(formula, Problem) else formula


@cache
def _stops() -> tuple[frozenset[str], frozenset[str], re.Pattern[str], re.Pattern[str]]:
    """(whole names, CAS numbers, pattern of words, pattern of short capitals)."""
    stops = load_stops()
    whole = frozenset(plain_name(stop.name) for stop in stops)
    numbers = frozenset(stop.cas for stop in stops if stop.cas)
    free = [stop.name for stop in stops if not stop.field_only]
    capitals = [name for name in free if len(name) <= _SHORT and name.upper() == name]
    words = [plain_name(name) for name in free if name not in capitals]
    return whole, numbers, _words(words), _words(capitals)


def _words(names: list[str]) -> re.Pattern[str]:
    ordered = sorted(names, key=len, reverse=True)
    return re.compile(r"(?<![\w-])(?:" + "|".join(map(re.escape, ordered)) + r")s?(?![\w-])")


def _named(text: str, whole: bool) -> bool:
    if not text:
        return False
    names, _, words, capitals = _stops()
    read = "".join(
        c for c in unicodedata.normalize("NFKC", text) if unicodedata.category(c) != "Cf"
    )
    plain = plain_name(read)
    if (whole and plain in names) or bool(words.search(plain) or capitals.search(read)):
        return True
    squeezed = _squeezed(plain)
    return (whole and squeezed in _squeezed_names()) or any(
        len(name) >= LONG and name in squeezed for name in _squeezed_names()
    )


def _squeezed(text: str) -> str:
    """Without the blanks, hyphens and dots a name may be broken up by."""
    return re.sub(r"[\W_]+", "", text)


@cache
def _squeezed_names() -> frozenset[str]:
    free = (plain_name(stop.name) for stop in load_stops() if not stop.field_only)
    return frozenset(name for name in map(_squeezed, free) if len(name) > _SHORT)


def _numbered(text: str) -> bool:
    _, numbers, _, _ = _stops()
    return any(number in numbers for number in _CAS.findall(text))


def _forbidden_mixture(meeting: Meeting) -> bool:
    return any(_is(mixture, meeting) for mixture in load_stop_mixtures())


def _is(mixture: StopMixture, meeting: Meeting) -> bool:
    after = meeting.after
    if mixture.dry and (after.wet or not meeting.added.masses):
        return False
    groups = {k: groups_of(s) for k, s in after.substances.items() if k not in after.held}
    first, *others = mixture.groups
    strong = any(
        first in names and _strong(meeting, key) >= mixture.minimum for key, names in groups.items()
    )
    return strong and all(any(other in names for names in groups.values()) for other in others)


def _strong(meeting: Meeting, key: str) -> float:
    shares: tuple[Contents, ...] = (meeting.after, meeting.added, meeting.before)
    return max(contents.share(key) for contents in shares)
