"""Materials that come from a bottle on the shelf: its strength and spread stand in the sheet's."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from difflib import get_close_matches

from firstcrop.bank.bank import Bank
from firstcrop.bank.lookup import find_feedstock, find_substance
from firstcrop.bank.records import Feedstock, Substance
from firstcrop.forecast.records import Bottle, Resting
from firstcrop.forecast.resolve import needs_strength
from firstcrop.problems import Problem, Severity
from firstcrop.quantity.write import write_strength
from firstcrop.sheet.records import Material, Preparation

Found = tuple[Material, tuple[Problem, ...]]


def bottle_key(name: str) -> str:
    """One spelling for one bottle: single spaces, lower case."""
    return " ".join(name.split()).lower()


def from_bottles(
    prep: Preparation, bank: Bank, bottles: Iterable[Bottle]
) -> tuple[Preparation, tuple[Problem, ...]]:
    """The sheet with the strengths of the bottles it names, and what is wrong with those."""
    if not any(m.bottle for m in prep.materials):
        return prep, ()
    known = {bottle_key(b.key): b for b in bottles}
    found = [_filled(m, bank, known) for m in prep.materials]
    problems = tuple(p for _, each in found for p in each)
    return replace(prep, materials=tuple(m for m, _ in found)), problems


def resting_on_bottles(prep: Preparation, bottles: Iterable[Bottle]) -> tuple[Resting, ...]:
    """What the forecast takes from the shelf, for the list of what it rests on."""
    known = {bottle_key(b.key): b for b in bottles}
    rows = []
    for m in prep.materials:
        bottle = known.get(bottle_key(m.bottle)) if m.bottle else None
        if bottle is not None and bottle.strength is not None:
            label = f"strength of {m.name}, bottle {bottle.key}"
            source = "; ".join(part for part in (bottle.note, bottle.source) if part)
            value = write_strength(bottle.strength)
            rows.append(Resting(label, value, source, bottle.obtained, m.bottle_place))
    return tuple(rows)


def _filled(material: Material, bank: Bank, known: dict[str, Bottle]) -> Found:
    if not material.bottle:
        return material, ()
    bottle = known.get(bottle_key(material.bottle))
    if bottle is None:
        return material, (_missing(material, known),)
    substance = _substance(material.substance or material.name, bank)
    if substance is not None and substance.key != bottle.substance:
        message = (
            f"the bottle {bottle.key} holds {bottle.substance}, and {material.name} is to be "
            f"{substance.key}"
        )
        hint = "name another bottle, or another substance"
        return material, (Problem("bottle.other", message, (material.bottle_place,), hint),)
    if bottle.strength is None:
        return material, _unknown(material, bottle, substance)
    told = f"{material.name}: {write_strength(bottle.strength)}, {bottle.note or 'from the shelf'}"
    notes = [_note("bottle.strength", told, material, bottle.source)]
    if material.strength is not None:
        message = f"{material.name}: the bottle's strength is used, not the written one"
        notes.append(_note("bottle.instead", message, material))
    return replace(material, strength=bottle.strength), tuple(notes)


def _missing(material: Material, known: dict[str, Bottle]) -> Problem:
    near = get_close_matches(bottle_key(material.bottle), known, n=3)
    hint = f"did you mean {' or '.join(near)}?" if near else "add it: firstcrop shelf add"
    fallback = "" if material.strength is None else "; the written strength is used"
    return Problem(
        "bottle.missing",
        f"there is no bottle called “{material.bottle}” on the shelf{fallback}",
        (material.bottle_place,),
        hint,
        Severity.ERROR if material.strength is None else Severity.WARNING,
    )


def _unknown(
    material: Material, bottle: Bottle, substance: Substance | None
) -> tuple[Problem, ...]:
    if material.strength is not None or substance is None or not needs_strength(substance):
        message = f"the strength of the bottle {bottle.key} is not known: {bottle.note}"
        return (_note("bottle.unknown", message, material),)
    message = f"the strength of the bottle {bottle.key} is not known: {bottle.note}"
    hint = "titrate it and enter the result: firstcrop shelf assay"
    return (Problem("bottle.unknown", message, (material.bottle_place,), hint),)


def _note(code: str, message: str, material: Material, hint: str = "") -> Problem:
    return Problem(code, message, (material.bottle_place,), hint, Severity.NOTE)


def _substance(text: str, bank: Bank) -> Substance | None:
    found = find_substance(bank, text)
    if isinstance(found, Substance):
        return found
    product = find_feedstock(bank, text)
    if isinstance(product, Feedstock):
        inner = find_substance(bank, product.substance)
        return inner if isinstance(inner, Substance) else None
    return None
