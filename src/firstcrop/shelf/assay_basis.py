"""From mol of a substance in a sample to a strength in the wanted basis."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from firstcrop.bank.lookup import substance_named
from firstcrop.chem.formula import parse_formula
from firstcrop.problems import Problem
from firstcrop.quantity.bases import match_any
from firstcrop.quantity.records import Basis
from firstcrop.shelf.assay_book import Book, Term
from firstcrop.shelf.assay_readings import Reading

_BY_MASS = (Basis.WW, Basis.MOLALITY)
_GIVEN = (Basis.WW, Basis.WV, Basis.MASS_CONCENTRATION, Basis.MOLARITY, Basis.MOLALITY)


@dataclass(frozen=True, slots=True)
class Wanted:
    """A basis and the unit it is written in."""

    basis: Basis
    unit: str


@dataclass(frozen=True, slots=True)
class Recipe:
    """What a method computes: the result of each replicate in the SI unit of the wanted basis."""

    substance: str
    wanted: Wanted | None
    term: Term
    says: tuple[str, ...] = ()
    most: float = 1.0  # of a fraction: more is impossible


def formula_of(book: Book, name: str) -> str | None:
    """The formula of a substance of the bank, or `name` itself when it is one."""
    found = substance_named(book.bank, name)
    if found is not None:
        return found.formula
    if isinstance(parse_formula(name), Problem):
        hint = "Name a substance of the bank, or write its formula."
        book.fail("substance", f"'{name}' is not known.", hint=hint)
        return None
    return name


def wanted(book: Book, usual: Basis) -> Wanted | None:
    """What the row `in` asks for, else the usual basis; None with a Problem."""
    text = book.readings.words("in")
    if not text:
        return Wanted(usual, usual.value)
    found = match_any(text, 0)
    if found is None or found.unit.kind not in _GIVEN or text[found.end :].strip():
        row = book.readings.rows.get("in")
        hint = "Write % w/w, % w/v, g/L, mol/L or mol/kg."
        book.fail("basis", f"'{text}' is no strength a result can be given in.", row, hint)
        return None
    return Wanted(Basis(found.unit.kind), found.unit.name)


def in_basis(
    book: Book, sample: Reading, amount: Term, formula: str, name: str
) -> tuple[Wanted, Term] | None:
    """The wanted basis and the strength from `amount` (mol in the whole sample taken)."""
    weighed = sample.values[0].unit.kind == "mass"
    target = wanted(book, Basis.WW if weighed else Basis.MOLARITY)
    if target is None:
        return None
    taken = book.term(sample) if weighed else book.volume(sample, filled=book.has("made up to"))
    per_mass = target.basis in _BY_MASS
    size = taken if per_mass is weighed else _crossed(book, taken, weighed, target)
    if size is None:
        return None
    if target.basis is Basis.MOLARITY:
        return target, lambda x: np.asarray(amount(x) / size(x))
    molar = book.molar_mass(f"molar mass of {name}", formula, "molar mass")
    if target.basis is Basis.MOLALITY:
        return target, lambda x: np.asarray(amount(x) / (size(x) - amount(x) * molar(x)))
    return target, lambda x: np.asarray(amount(x) * molar(x) / size(x))


def _crossed(book: Book, taken: Term, weighed: bool, target: Wanted) -> Term | None:
    """Mass from volume or volume from mass, by the density."""
    row = book.readings.rows.get("density")
    if row is None:
        what = "weighed" if weighed else "measured by volume"
        message = f"The sample was {what}, so {target.unit} needs its density."
        book.fail("missing", message, hint="Add a row 'density', such as 1.05 ± 0.005 g/mL.")
        return None
    if len(row.values) > 1:
        book.fail("value-many", "'density' takes one value here.", row, "Write its mean with a ±.")
        return None
    rho = book.term(row)
    if weighed:
        return lambda x: np.asarray(taken(x) / rho(x))
    return lambda x: np.asarray(taken(x) * rho(x))
