"""Strengths without a burette: by weighing a precipitate, by loss on drying, by melting point."""

from __future__ import annotations

from fractions import Fraction

import numpy as np

from firstcrop.bank.lookup import substance_named
from firstcrop.bank.practice import load_practice
from firstcrop.chem.formula import parse_formula
from firstcrop.problems import Problem
from firstcrop.quantity.records import Basis
from firstcrop.shelf.assay_basis import Recipe, Wanted, formula_of, in_basis
from firstcrop.shelf.assay_book import Book, Point, Term
from firstcrop.shelf.assay_readings import Reading
from firstcrop.shelf.assay_records import Method
from firstcrop.shelf.gum import Shape, factor, limits

GAS = 8.314462618  # J/(mol K), CODATA 2018


def gravimetric(book: Book, method: Method) -> Recipe | None:
    """A precipitate of known formula: n = atoms · m / M."""
    name, as_what = book.readings.words("substance"), book.readings.words("weighed as")
    sample, found = book.need("sample"), book.need("precipitate")
    book.need("substance")
    book.need("weighed as", "Name the precipitate or write its formula, such as BaSO4.")
    if not (name and as_what) or sample is None or found is None:
        return None
    formula, solid = formula_of(book, name), formula_of(book, as_what)
    if formula is None or solid is None:
        return None
    atoms = _atoms(book, formula, solid)
    book.same_count(found, sample, book.readings.rows.get("empty"))
    mass = _net_mass(book, found)
    molar = book.molar_mass(f"molar mass of {as_what}", solid, "")
    amount: Term = lambda x: np.asarray(atoms * mass(x) / molar(x))  # noqa: E731 - one formula
    result = in_basis(book, sample, amount, formula, name)
    return Recipe(name, result[0], result[1], (method.note,)) if result else None


def loss(book: Book, method: Method) -> Recipe | None:
    """Mass lost on drying or ignition, as a fraction of the moist mass."""
    before, after = book.need("before"), book.need("after")
    if before is None or after is None:
        return None
    if max(after.numbers) > min(before.numbers) * 1.5 or min(after.numbers) > max(before.numbers):
        book.fail("impossible", "It weighs more after drying than before.", after,
                  "Are the two rows swapped?")  # fmt: skip
    empty = book.readings.rows.get("empty")
    book.same_count(before, after, empty)
    wet, dry = book.term(before, once=True), book.term(after, once=True)
    vessel = book.term(empty, once=True) if empty else None
    if empty and max(empty.numbers) >= min(after.numbers):
        book.fail("impossible", "The empty vessel is not lighter than the full one.", empty)

    def lost(x: Point) -> np.ndarray:
        tare = vessel(x) if vessel else np.zeros(1)
        return np.asarray((wet(x) - dry(x)) / (wet(x) - tare))

    name = book.readings.words("substance") or "water"
    says = ("The result is what was lost; the dry rest is the difference to 100 %.",)
    return Recipe(name, Wanted(Basis.WW, "% w/w"), lost, (*says, method.note))


def melting(book: Book, method: Method) -> Recipe | None:
    """Purity, mol/mol, from how far the melting point lies below the published one.

    van 't Hoff: x = ΔH · ΔT / (R · T²), for an impurity that dissolves in the melt and not in the
    crystal. Without a heat of fusion, Walden's rule stands in: rough.
    """
    name, seen = book.readings.words("substance"), book.need("melting point")
    book.need("substance")
    true = _published(book, name) if name else None
    if seen is None or true is None:
        return None
    measured = book.term(seen)
    row = book.readings.rows.get("heat of fusion")
    rule = "van 't Hoff's law with the given heat of fusion"
    if row is not None:
        heat = book.term(row)
        entropy: Term = lambda x: np.asarray(heat(x) / true(x))  # noqa: E731 - one formula
    else:
        walden = load_practice("assay_practice")["walden"]
        u = (walden.high - walden.low) / 2.0 / factor(0.9, float("inf"))
        entropy = book.constant("heat of fusion", walden.value, u, "J/(mol K)",
                                walden.datum.source, label=walden.datum.label)  # fmt: skip
        rule = "van 't Hoff's law with Walden's rule for the heat of fusion"
        book.warn("rough", f"{name}: no heat of fusion was given; the purity is rough.")
    point = {i.name: i.value for i in book.inputs}
    below = float(true(point).mean() - measured(point).mean())
    where = "below" if below >= 0.0 else "above"
    says = (
        f"It melts {abs(below):.1f} K {where} the published value.",
        f"The purity is from the depression by {rule}: rough, and blind to what melts alike.",
    )
    return Recipe(
        name,
        None,
        lambda x: np.asarray(1.0 - entropy(x) * (true(x) - measured(x)) / (GAS * true(x))),
        (*says, method.note),
        1.02,
    )


def _published(book: Book, name: str) -> Term | None:
    row = book.readings.rows.get("published melting point")
    if row is not None:
        return book.term(row)
    found = substance_named(book.bank, name)
    datum = found.melting_point if found else None
    if datum is None:
        hint = "Add a row 'published melting point'."
        book.fail("missing", f"No published melting point of '{name}' is known.", hint=hint)
        return None
    u = datum.band / factor(0.9, float("inf")) or limits(0.5)
    label = f"published, {datum.obtained}" + ("" if datum.band else "; ± 0.5 K taken")
    shape = Shape.NORMAL if datum.band else Shape.RECTANGULAR
    return book.constant("published melting point", datum.value, u, "K", datum.source, shape, label)


def _net_mass(book: Book, row: Reading) -> Term:
    empty = book.readings.rows.get("empty")
    if empty is None:
        return book.term(row)
    if max(empty.numbers) >= min(row.numbers):
        message = "The empty crucible is not lighter than the full one."
        book.fail("impossible", message, empty, "Are the two rows swapped?")
    full, vessel = book.term(row, once=True), book.term(empty, once=True)
    return lambda x: np.asarray(full(x) - vessel(x))


def _atoms(book: Book, formula: str, solid: str) -> float:
    """mol of substance for one mol of precipitate: from the elements they share, or as given."""
    row = book.readings.rows.get("atoms")
    if row is not None:
        return row.numbers[0]
    ours, theirs = parse_formula(formula), parse_formula(solid)
    if isinstance(ours, Problem) or isinstance(theirs, Problem):
        return 1.0  # said already
    have, found = dict(ours.elements), dict(theirs.elements)
    shared = {Fraction(found[e]) / Fraction(have[e]) for e in have if e in found and e not in "HO"}
    if len(shared) != 1:
        hint = "Add a row 'atoms': mol of the substance for one mol of the precipitate."
        what = "share no element" if not shared else "share elements in different ratios"
        book.fail("atoms", f"{formula} and {solid} {what}.", hint=hint)
        return 1.0
    return float(shared.pop())
