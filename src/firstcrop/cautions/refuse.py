"""What firstcrop does not plan: explosives, scheduled agents and precursors, drugs.

By identity (name, CAS number), by a few plain rules over formulas, and by mixtures met in one
vessel. The answer is one sentence without particulars.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import cache

from firstcrop.bank.lookup import Named, plain_name
from firstcrop.bank.mixing import StopMixture, load_stop_mixtures, load_stops
from firstcrop.cautions.contents import Contents
from firstcrop.cautions.groups import groups_of
from firstcrop.cautions.story import Meeting, tell
from firstcrop.chem.formula import Formula, parse_formula
from firstcrop.problems import Problem
from firstcrop.sheet.records import Preparation

REFUSAL = (
    "firstcrop does not plan this: it concerns an explosive, a drug, or an agent or precursor "
    "that the law schedules."
)
_CAS = re.compile(r"\b\d{2,7}-\d{2}-\d\b")
_SHORT = 5  # letters; a shorter identity in capitals is matched as it is written
_METALS = frozenset(
    re.findall("[A-Z][a-z]?", "LiNaKRbCsBeMgCaSrBaAlGaTlSnPbBiSbCrMnFeCoNiCuZnAgCdHg")
)
_HALOGENS = frozenset(("F", "Cl", "Br", "I"))
_COINAGE = frozenset(("Ag", "Cu", "Hg", "Au"))
_NITRO = re.compile(r"ONO2|\(NO3\)|\(NO2\)")
_FUEL_BALANCE = -100.0  # % oxygen balance above which an organic nitro compound may explode


def refuse(preparation: Preparation, bank: Named) -> str:
    """The refusal, or '' when the sheet may be planned."""
    names = tuple(_names(preparation))
    if any(_named(text, whole) for text, whole in names):
        return REFUSAL
    if any(_numbered(text) for text in _numbers(preparation)):
        return REFUSAL
    if any(_forbidden_formula(formula) for formula in _formulas(preparation, bank)):
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


def _formulas(prep: Preparation, bank: Named) -> Iterator[Formula]:
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
    plain = plain_name(text)
    return (whole and plain in names) or bool(words.search(plain) or capitals.search(text))


def _numbered(text: str) -> bool:
    _, numbers, _, _ = _stops()
    return any(number in numbers for number in _CAS.findall(text))


def _forbidden_formula(formula: Formula) -> bool:
    atoms = {symbol: count for symbol, count in formula.elements if count}
    return (
        _azide(atoms, formula)
        or _nitrogen_halide(atoms)
        or _fulminate(atoms)
        or _acetylide(atoms)
        or _nitro(atoms, formula)
    )


def _azide(atoms: dict[str, Fraction], formula: Formula) -> bool:
    """A metal or hydrogen with three nitrogens and nothing else, or (N3) spelt out."""
    others = set(atoms) - {"N"}
    nitrogen = atoms.get("N", Fraction(0))
    metal = bool(others) and others <= _METALS | {"H"}
    three = bool(nitrogen) and nitrogen % 3 == 0
    salt = metal and len(others) == 1 and three and max(atoms[o] for o in others) * 3 <= nitrogen
    return salt or "(N3)" in formula.text


def _nitrogen_halide(atoms: dict[str, Fraction]) -> bool:
    halogens = sum((atoms[s] for s in atoms if s in _HALOGENS), Fraction(0))
    return set(atoms) <= _HALOGENS | {"N", "H"} and atoms.get("N") == 1 and halogens >= 2


def _fulminate(atoms: dict[str, Fraction]) -> bool:
    metals = set(atoms) & _COINAGE
    carbon = atoms.get("C")
    return (
        bool(metals)
        and set(atoms) - metals == {"C", "N", "O"}
        and carbon == atoms.get("N") == atoms.get("O")
    )


def _acetylide(atoms: dict[str, Fraction]) -> bool:
    metals = set(atoms) & _COINAGE
    return bool(metals) and set(atoms) - metals == {"C"} and atoms["C"] % 2 == 0


def _nitro(atoms: dict[str, Fraction], formula: Formula) -> bool:
    """Carbon with several nitro or nitrate groups, spelt out or told by the atoms: three
    nitrogens, twice as many oxygens, little hydrogen, and near enough oxygen to burn itself."""
    if not {"C", "N", "O"} <= set(atoms) or not set(atoms) <= {"C", "H", "N", "O"}:
        return False
    carbon, nitrogen, oxygen = atoms["C"], atoms["N"], atoms["O"]
    hydrogen = atoms.get("H", Fraction(0))
    spelt = len(_NITRO.findall(formula.text)) > 1 or bool(
        re.search(r"\((?:ONO2|NO3|NO2)\)[2-9]", formula.text)
    )
    balance = float(100 * 16 * (oxygen - 2 * carbon - hydrogen / 2)) / float(
        12 * carbon + hydrogen + 14 * nitrogen + 16 * oxygen
    )
    told = nitrogen >= 3 and oxygen >= 2 * nitrogen and hydrogen < 4 * nitrogen
    return (spelt and "NH4" not in formula.text) or (told and balance > _FUEL_BALANCE)


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
