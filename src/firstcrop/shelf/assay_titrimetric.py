"""Direct and back titrations, standardisation, and a standard made up by weighing.

The model is that of QUAM examples A1 to A3: amounts from volumes and strengths, the reaction's
ratio, purity and molar mass of a standard; repeatability as a factor on the result.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np

from firstcrop.liquor.system import Floats
from firstcrop.problems import Problem
from firstcrop.quantity.records import Basis
from firstcrop.shelf.assay_basis import Recipe, Wanted, formula_of, in_basis, wanted
from firstcrop.shelf.assay_book import Book, Point, Term
from firstcrop.shelf.assay_methods import find_counted, find_standard
from firstcrop.shelf.assay_readings import Reading
from firstcrop.shelf.assay_records import Method
from firstcrop.shelf.assay_repeats import repeats


def direct(book: Book, method: Method) -> Recipe | None:
    """Titrant that reacts with the substance: n = ratio · c · (V - blank)."""
    counted = _counted(book, method)
    titre = book.need("titre")
    strength = _titrant(book, method.titrant, "titrant")
    if counted is None or titre is None or strength is None:
        return None
    used = _net(book, titre, "blank")
    ratio = float(counted[1])
    return _recipe(book, counted[0], lambda x: ratio * strength(x) * used(x), "titre", method)


def back(book: Book, method: Method) -> Recipe | None:
    """What is left of an excess is titrated: n = ratio · (c · V - c2 · (V2 - blank)).

    A `blank` of a back titration is a titration of the same excess without the sample; the
    excess itself then need not be known: n = ratio · c2 · (blank - V2).
    """
    counted = _counted(book, method)
    titre = book.need("titre")
    second = _titrant(book, method.back, "back titrant")
    if counted is None or titre is None or second is None:
        return None
    left = book.volume(titre)
    ratio = float(counted[1])
    if book.has("blank"):
        blank = book.readings.rows["blank"]
        if max(titre.numbers) >= min(blank.numbers):
            message = "The back titre is not smaller than the blank: nothing was used up."
            book.fail("blank", message, titre, "Are the two rows swapped?")
        whole = book.volume(blank)
        return _recipe(
            book,
            counted[0],
            lambda x: ratio * second(x) * (np.mean(whole(x)) - left(x)),
            "titre",
            method,
        )
    excess = book.need("excess", "Add the volume of reagent added, or a blank.")
    first = _titrant(book, method.titrant, "titrant")
    if excess is None or first is None:
        return None
    added = book.volume(excess)
    return _recipe(
        book,
        counted[0],
        lambda x: ratio * (first(x) * added(x) - second(x) * left(x)),
        "titre",
        method,
    )


def standardise(book: Book, method: Method) -> Recipe | None:
    """The strength of a titrant from a primary standard, mol/L."""
    name = book.readings.words("substance")
    if not name:
        book.need("substance", "Name the titrant, such as sodium hydroxide.")
        return None
    strength = _standardised(book, name)
    if strength is None:
        return None
    target = Wanted(Basis.MOLARITY, "mol/L")
    return Recipe(name, target, strength)


def solution(book: Book, method: Method) -> Recipe | None:
    """A pure solid weighed and made up to a mark (QUAM A1): its strength."""
    name = book.readings.words("substance")
    flask, mass = book.need("made up to"), book.need("sample")
    target = wanted(book, Basis.MOLARITY)
    formula = formula_of(book, name)
    if flask is None or mass is None or target is None or formula is None:
        return None
    if mass.values[0].unit.kind != "mass":
        book.fail("unit", "A standard is made up from a weighed solid.", mass, "Give a mass.")
        return None
    weighed, volume = book.term(mass), book.volume(flask, filled=True)
    pure = book.fraction("purity", "99.5 to 100 % is taken.")

    def grams(x: Point) -> Floats:
        return np.asarray(weighed(x) * pure(x) / volume(x))

    if target.basis in (Basis.MASS_CONCENTRATION, Basis.WV):
        return Recipe(name, target, grams)
    if target.basis is not Basis.MOLARITY:
        book.fail("basis", "A made-up standard is given in mol/L, g/L or % w/v.")
        return None
    molar = book.molar_mass(f"molar mass of {name}", formula, "molar mass")
    return Recipe(name, target, lambda x: np.asarray(grams(x) / molar(x)))


def _recipe(book: Book, name: str, amount: Term, titre: str, method: Method) -> Recipe | None:
    """From mol in one portion to the strength of the material."""
    sample = book.need("sample")
    formula = formula_of(book, name)
    if sample is None or formula is None:
        return None
    rows = book.readings.rows
    in_portion = _portion(book)
    book.same_count(rows[titre], sample, rows.get("aliquot"), rows.get("excess"))
    whole: Term = lambda x: np.asarray(amount(x) / in_portion(x))  # noqa: E731 - one more factor
    result = in_basis(book, sample, whole, formula, name)
    if result is None:
        return None
    says = (method.note,) if method.note else ()
    return Recipe(name, result[0], result[1], says)


def _portion(book: Book) -> Term:
    """Part of the sample that one titration holds: aliquot over the flask."""
    rows = book.readings.rows
    flask, aliquot = rows.get("made up to"), rows.get("aliquot")
    if flask is None and aliquot is None:
        return lambda x: np.ones(1)
    if flask is None or aliquot is None:
        missing, there = ("made up to", aliquot) if flask is None else ("aliquot", flask)
        hint = "A made-up sample needs both the flask and the portion taken of it."
        book.fail("missing", f"'{missing}' is missing.", there, hint)
        return lambda x: np.ones(1)
    if max(aliquot.numbers) > flask.numbers[0]:
        message = "More was pipetted than was made up."
        book.fail("impossible", message, aliquot, "Are the two rows swapped?")
    taken, made = book.volume(aliquot), book.volume(flask, filled=True)
    return lambda x: np.asarray(taken(x) / made(x))


def _titrant(book: Book, name: str, row_name: str) -> Term | None:
    """mol/m3 of what is in the burette, as given or from its standardisation."""
    row = book.readings.rows.get(row_name)
    if row is None and row_name == "titrant" and book.has("standard"):
        return _standardised(book, name)
    if row is None:
        hint = f"Write its strength, such as 0.1000 ± 0.0005 mol/L of {name}"
        tail = ", or the rows of its standardisation." if row_name == "titrant" else "."
        book.need(row_name, hint + tail)
        return None
    strength = row.values[0].strength
    if strength is None or strength.basis is not Basis.MOLARITY:
        book.fail("unit", f"'{row_name}' is not in mol/L.", row, f"Give mol/L of {name}.")
        return None
    return book.term(row)


def _standardised(book: Book, titrant: str) -> Term | None:
    """mol/m3 of a titrant against a weighed primary standard."""
    standard = find_standard(titrant, book.readings.words("standard"), book.bank)
    mass, titre = book.need("standard mass"), book.need("standard titre")
    if isinstance(standard, Problem):
        book.problems.append(standard)
        return None
    if mass is None or titre is None:
        return None
    rows = book.readings.rows
    book.same_count(mass, titre, rows.get("standard aliquot"))
    weighed, used = book.term(mass), _net(book, titre, "standard blank")
    pure = book.fraction("standard purity", "99.5 to 100 % is taken.")
    molar = book.molar_mass("standard molar mass", standard.formula, "standard molar mass")
    share = _standard_share(book)
    ratio = float(standard.ratio)
    book.sources.setdefault(standard.source)

    def each(x: Point) -> Floats:
        return np.asarray(ratio * weighed(x) * share(x) * pure(x) / (molar(x) * used(x)))

    again = repeats(book, each, titre, "standardisation")
    return lambda x: np.array([np.mean(each(x)) * again(x)])


def _standard_share(book: Book) -> Term:
    rows = book.readings.rows
    flask, aliquot = rows.get("standard made up to"), rows.get("standard aliquot")
    if flask is None and aliquot is None:
        return lambda x: np.ones(1)
    if flask is None or aliquot is None:
        hint = "A made-up standard needs both its flask and the portion taken."
        book.fail("missing", "The flask or the portion of the standard is missing.", hint=hint)
        return lambda x: np.ones(1)
    taken, made = book.volume(aliquot), book.volume(flask, filled=True)
    return lambda x: np.asarray(taken(x) / made(x))


def _net(book: Book, titre: Reading, blank_name: str) -> Term:
    """Titre less blank; the blank is the mean of its replicates with its own spread."""
    used = book.volume(titre)
    blank = book.readings.rows.get(blank_name)
    if blank is None:
        return used
    if max(blank.numbers) >= min(titre.numbers):
        message = f"'{blank_name}' ({blank.text}) is not smaller than the titre ({titre.text})."
        book.fail("blank", message, blank, "Are the two rows swapped?")
    same = blank.means.text.split(";")[0].strip() in ("", titre.means.text.split(";")[0].strip())
    empty = book.rounded(blank) if same else book.volume(blank)
    return lambda x: np.asarray(used(x) - np.mean(empty(x)))


def _counted(book: Book, method: Method) -> tuple[str, Fraction] | None:
    name = book.readings.words("substance")
    if not name:
        book.need("substance", "Name what is determined.")
        return None
    found = find_counted(method, name, book.bank)
    if isinstance(found, Problem):
        book.problems.append(found)
        return None
    book.sources.setdefault(found.source)
    return found.substance, found.ratio
