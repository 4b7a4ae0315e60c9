"""Screening by formula: groups that may be explosive, oxygen balance, peroxide formers.

UN Manual of Tests and Criteria, Appendix 6. The arithmetic sorts out what deserves a look; it
never says that a thing is harmless.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache

from firstcrop.bank.elements import load_weights
from firstcrop.bank.lookup import plain_name
from firstcrop.bank.records import Substance
from firstcrop.bank.screens import explosive_groups, peroxide_formers
from firstcrop.cautions.say import say
from firstcrop.cautions.scene import Scene
from firstcrop.cautions.stuff import identify
from firstcrop.chem.formula import Formula, parse_formula
from firstcrop.chem.weights import molar_mass
from firstcrop.forecast.records import Caution
from firstcrop.problems import Place, Problem, Severity
from firstcrop.sheet.records import Verb

FUEL = -200.0  # % oxygen balance below which an organic substance is not looked at (3.3 (c))


def screen(scene: Scene) -> tuple[Caution, ...]:
    """One caution per substance and reason, of the materials, the target and the products of
    declared reactions."""
    found = []
    for substance, place in _substances(scene):
        told = explosive(substance.formula)
        if told is not None:
            group, balance, fuel = told
            found.append(
                say("explosive-fuel" if fuel else "explosive-group", 0, place,
                    name=substance.key, group=group, told=balance)
            )  # fmt: skip
    return (*found, *_peroxides(scene))


def _substances(scene: Scene) -> Iterator[tuple[Substance, Place]]:
    prep = scene.forecast.preparation
    seen: set[str] = set()
    for stuff in scene.story.materials.values():
        if stuff.substance is not None and stuff.declared and stuff.key not in seen:
            seen.add(stuff.key)
            yield stuff.substance, stuff.place
    texts = [(prep.target, Place(0)), (prep.target_formula, Place(0))]
    texts += [(t.formula.text, r.place) for r in prep.reactions for t in r.equation.right]
    for text, place in texts:
        substance = _named(scene, text)
        if substance is not None and substance.key not in seen:
            seen.add(substance.key)
            yield substance, place


def _named(scene: Scene, text: str) -> Substance | None:
    if not text:
        return None
    known = identify(scene.bank, text)[1]
    if known is not None or isinstance(parse_formula(text), Problem):
        return known
    return Substance(key=text, names=(), formula=text, phase="solid")


@lru_cache(maxsize=1024)
def explosive(formula: str) -> tuple[str, str, bool] | None:
    """(group, oxygen balance in words, whether oxygen and fuel sit in one substance); None when
    no group shows or the balance puts it out of question."""
    group = next((group for group, pattern in explosive_groups() if pattern.search(formula)), "")
    read = parse_formula(formula)
    if isinstance(read, Problem):
        return None
    fuel = _own_fuel(read)
    silver = _silver_fuel(read)
    if silver:
        return "a silver or copper salt with carbon", "It holds no water and burns itself.", True
    if not group and not fuel:
        return None
    group = group or "an oxidising ion beside ammonium or carbon"
    balance = oxygen_balance(read)
    if read.count("C") and balance < FUEL:
        return None
    told = f"Oxygen balance {balance:+.0f} % (1600 (z - 2x - y/2) / M; other elements left out)."
    return group, told, fuel


def _own_fuel(formula: Formula) -> bool:
    """Ammonium, an ammine or carbon beside an oxidising ion, without water of hydration only
    for what is dry: nitrates, chlorates, permanganates, dichromates."""
    oxidising = ("NO3", "ClO3", "MnO4", "Cr2O7", "NO2")
    if not any(ion in formula.text for ion in oxidising):
        return False
    bare_nitrate = set(dict(formula.elements)) == {"N", "H", "O"} and "NO3" in formula.text
    return not bare_nitrate and ("NH" in formula.text or bool(formula.count("C")))


def _silver_fuel(formula: Formula) -> bool:
    """Silver with oxalate: the dry salt decomposes violently."""
    return bool(formula.count("Ag")) and formula.count("C") == 2 and formula.count("O") == 4


def oxygen_balance(formula: Formula) -> float:
    """% by mass: -1600 (2x + y/2 - z) / M for C_x H_y O_z, other elements ignored but weighed
    where they are the usual ones (UN Manual of Tests and Criteria, App. 6, 3.3 (c))."""
    x, y, z = formula.count("C"), formula.count("H"), formula.count("O")
    weighed = molar_mass(formula, load_weights())
    assert not isinstance(weighed, Problem), "every element of a read formula has a weight"
    return -1600.0 * float(2 * x + Fraction(y) / 2 - z) / (1e3 * weighed[0])


def _peroxides(scene: Scene) -> Iterator[Caution]:
    """A note for having it; an error for boiling it down or drying it hot."""
    boiled = {
        key
        for w in scene.story.warmths
        if w.verb in (Verb.BOIL_DOWN, Verb.DRY)
        for key in w.contents.masses
    }
    for stuff in scene.story.materials.values():
        names = (stuff.key, plain_name(stuff.name))
        if stuff.declared and any(word in name for word in peroxide_formers() for name in names):
            severity = Severity.ERROR if stuff.key in boiled else Severity.NOTE
            name = stuff.key or stuff.name
            yield say("peroxide-former", 0, stuff.place, severity=severity, name=name)
