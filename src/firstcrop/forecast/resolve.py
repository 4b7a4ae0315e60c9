"""Names to substances: every word a sheet uses for matter, looked up once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from firstcrop.bank.bank import Bank
from firstcrop.bank.lookup import find_feedstock, find_substance, hydrate_note
from firstcrop.bank.records import Feedstock, Substance
from firstcrop.problems import Place, Problem, Severity
from firstcrop.quantity.read import read_strength
from firstcrop.quantity.records import Basis, Strength
from firstcrop.sheet.records import Basket, Clause, Material, Preparation

WATERS = (
    "water",
    "distilled water",
    "deionised water",
    "deionized water",
    "tap water",
    "cold water",
    "hot water",
    "warm water",
    "boiling water",
    "ice water",
    "ice-cold water",
)
ICES = ("ice", "crushed ice", "ice cubes", "cracked ice")
INERT = "inert matter"
SOLID_FROM = 0.72  # kg/kg: a solid substance this strong in water is a damp solid, no solution


@dataclass(frozen=True, slots=True)
class Resolved:
    """A material and what it is: its principal substance, its strength, what the rest is."""

    name: str
    substance: Substance
    strength: Strength | None
    rest: Substance | None  # None: matter that stays out of everything
    pure: bool  # no strength was given: taken as pure
    place: Place = field(default=Place(0), compare=False)


@dataclass(frozen=True, slots=True)
class Names:
    """Every name of the sheet that resolved, and the mistakes of those that did not."""

    materials: Mapping[str, Resolved]
    problems: tuple[Problem, ...]


def resolve_names(prep: Preparation, bank: Bank) -> Names:
    """Look up the materials table, then every other word the steps use for matter."""
    problems: list[Problem] = []
    found: dict[str, Resolved] = {}
    for material in prep.materials:
        _keep(_material(material, bank), material.name, found, problems)
    places = _vessel_words(prep)
    failed = {m.name.lower() for m in prep.materials} - set(found)
    for clause, word, where in _matter_words(prep):
        key = word.lower()
        if key in found or key in failed or _at_hand(key, places):
            continue
        answer = _plain(word, bank, clause.at_field(where))
        if isinstance(answer, Problem):
            failed.add(key)
        _keep(answer, key, found, problems)
    return Names(MappingProxyType(found), tuple(problems))


def _keep(
    answer: tuple[Resolved, tuple[Problem, ...]] | Problem,
    name: str,
    found: dict[str, Resolved],
    problems: list[Problem],
) -> None:
    if isinstance(answer, Problem):
        problems.append(answer)
        return
    resolved, notes = answer
    found[name.lower()] = resolved
    problems.extend(notes)


def _vessel_words(prep: Preparation) -> set[str]:
    words = {v.name.lower() for v in prep.vessels} | {b.value for b in Basket}
    return words | {
        "",
        "it",
        "all",
        "everything",
        "contents",
        "mother liquor",
        "filtrate",
        "cake",
        "crop",
        "solid",
        "product",
        "precipitate",
        "solution",
    }


def _at_hand(key: str, places: set[str]) -> bool:
    """Whether a word means a vessel or a part at hand rather than a material."""
    inner = key.removeprefix("contents of ").removeprefix("the ")
    return key in places or inner in places or key.startswith("crop ")


def _matter_words(prep: Preparation) -> Iterable[tuple[Clause, str, str]]:
    for step in prep.steps:
        for clause in step.clauses:
            if clause.what and not clause.source:
                yield clause, clause.what, "what"
            if clause.solvent:
                yield clause, clause.solvent, "solvent"


def _material(m: Material, bank: Bank) -> tuple[Resolved, tuple[Problem, ...]] | Problem:
    if (m.substance or m.name).lower() in ICES:
        return _plain(m.name if m.name.lower() in ICES else ICES[0], bank, m.place)
    substance, feedstock, problem = _look_up(m.substance or m.name, bank, m.place)
    if substance is None:
        assert problem is not None
        return problem
    strength = m.strength
    notes = []
    if strength is None or (strength.basis is Basis.WW and strength.value >= SOLID_FROM):
        notes = _which_hydrate(bank, m.substance or m.name, substance, m.place)
    if strength is None and feedstock is not None and feedstock.strength:
        read = read_strength(feedstock.strength, feedstock.place)
        if isinstance(read, Problem):
            return read
        strength = read
        notes.append(
            _note(
                "feedstock strength",
                f"{m.name}: {feedstock.name} taken as {feedstock.strength}",
                m.place,
                feedstock.source,
            )
        )
    return _finish(m.name, substance, strength, bank, m.place, notes)


def _plain(word: str, bank: Bank, place: Place) -> tuple[Resolved, tuple[Problem, ...]] | Problem:
    if word.lower() in (*WATERS, *ICES):
        water = find_substance(bank, "water")
        assert isinstance(water, Substance)
        return Resolved(word, water, None, None, pure=False, place=place), ()
    substance, feedstock, problem = _look_up(word, bank, place)
    if substance is None:
        assert problem is not None
        return problem
    strength = None
    notes = _which_hydrate(bank, word, substance, place)
    if feedstock is not None and feedstock.strength:
        read = read_strength(feedstock.strength, feedstock.place)
        strength = None if isinstance(read, Problem) else read
        notes.append(
            _note(
                "feedstock strength",
                f"{word} taken as {feedstock.strength}",
                place,
                feedstock.source,
            )
        )
    return _finish(word, substance, strength, bank, place, notes)


def _which_hydrate(bank: Bank, text: str, substance: Substance, place: Place) -> list[Problem]:
    """A note where a bare name may mean a hydrate."""
    note = hydrate_note(bank, text, substance, place)
    return [] if note is None else [note]


def _look_up(
    text: str, bank: Bank, place: Place
) -> tuple[Substance | None, Feedstock | None, Problem | None]:
    substance = find_substance(bank, text)
    if isinstance(substance, Substance):
        return substance, None, None
    feedstock = find_feedstock(bank, text)
    if isinstance(feedstock, Feedstock):
        inner = find_substance(bank, feedstock.substance)
        if isinstance(inner, Substance):
            return inner, feedstock, None
        return None, None, _placed(inner, place)
    return None, None, _placed(substance, place)


def _placed(problem: Problem, place: Place) -> Problem:
    return Problem(problem.code, problem.message, (place,), problem.hint, problem.severity)


def _note(code: str, message: str, place: Place, hint: str = "") -> Problem:
    return Problem(code, message, (place,), hint, Severity.NOTE)


def _finish(
    name: str,
    substance: Substance,
    strength: Strength | None,
    bank: Bank,
    place: Place,
    notes: list[Problem],
) -> tuple[Resolved, tuple[Problem, ...]] | Problem:
    if strength is None:
        if needs_strength(substance):
            return Problem(
                "missing strength",
                f"{name} is {substance.key}, sold at many strengths; which one is this?",
                (place,),
                "write it in the strength column, for example `30 % w/w`",
            )
        if substance.key != "water":
            notes.append(
                _note(
                    "no strength",
                    f"{name}: no strength given, taken as pure {substance.key}",
                    place,
                )
            )
        return Resolved(name, substance, None, None, substance.key != "water", place), tuple(notes)
    rest = _rest(strength, substance, bank, place)
    if isinstance(rest, Problem):
        return rest
    return Resolved(name, substance, strength, rest, False, place), tuple(notes)


def needs_strength(substance: Substance) -> bool:
    """Whether a bare name says too little: gases, acids and peroxide come as solutions."""
    counts = dict(substance.components)
    if not counts:
        return substance.phase == "gas"
    acid = substance.phase == "liquid" and counts.get("H+", 0.0) > 0.0
    return substance.phase == "gas" or acid or "H2O2" in counts


def _rest(
    strength: Strength, substance: Substance, bank: Bank, place: Place
) -> Substance | Problem | None:
    """What fills a material up: water, a named substance, or matter that does nothing."""
    word = strength.rest.strip().lower()
    stays_out = not substance.components
    if strength.basis is Basis.WW and stays_out and word in ("", "water"):
        return None
    if word in ("", "water"):
        answer = find_substance(bank, "water")
        return answer if isinstance(answer, Substance) else None
    if word in ("inert", "inert matter", "insoluble", "other", "sand", "clay", "filler"):
        return None
    found = find_substance(bank, word)
    return _placed(found, place) if isinstance(found, Problem) else found
