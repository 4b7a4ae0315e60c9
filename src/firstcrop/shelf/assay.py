"""An assay: readings to a strength with its budget.

Guides: JCGM 100:2008 (GUM); EURACHEM/CITAC CG 4, Quantifying Uncertainty in Analytical
Measurement, 3rd ed. 2012 (QUAM).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from decimal import Decimal
from types import MappingProxyType

from firstcrop.bank.bank import Bank
from firstcrop.problems import Problem, Severity
from firstcrop.quantity.bases import match_any
from firstcrop.quantity.records import Basis, Strength
from firstcrop.quantity.write import write_strength
from firstcrop.shelf.assay_advice import advice
from firstcrop.shelf.assay_basis import Recipe, Wanted
from firstcrop.shelf.assay_bench import gravimetric, loss, melting
from firstcrop.shelf.assay_book import Book, Point
from firstcrop.shelf.assay_density import density
from firstcrop.shelf.assay_methods import find_method
from firstcrop.shelf.assay_readings import Readings
from firstcrop.shelf.assay_records import Assay, Method, Problems
from firstcrop.shelf.assay_repeats import centre, repeats
from firstcrop.shelf.assay_titrimetric import back, direct, solution, standardise
from firstcrop.shelf.gum import Measured, propagate

_FORMS: MappingProxyType[str, Callable[[Book, Method], Recipe | None]] = MappingProxyType(
    {
        "direct": direct,
        "back": back,
        "standardise": standardise,
        "solution": solution,
        "density": density,
        "gravimetric": gravimetric,
        "loss": loss,
        "melting": melting,
    }
)
_FRACTIONS = (Basis.WW, Basis.VV, None)
_GUIDES = ("jcgm100", "quam2012")


def assay(method_key: str, readings: Readings, bank: Bank) -> Assay | Problems:
    """The strength the readings give, or everything that is wrong with them.

    `method_key` is a key or name of `assay_methods.tsv`, or empty: then the row `method` counts.
    An Assay carries the warnings; Problems hold at least one error. Codes: assay.method,
    assay.substance, assay.standard, assay.missing, assay.counts, assay.unit, assay.ware,
    assay.beyond, assay.blank, assay.impossible, assay.basis and those of `read_readings`.
    """
    method = find_method(method_key or readings.words("method"))
    if isinstance(method, Problem):
        return (*readings.problems, method)
    book = Book(readings, bank)
    recipe = _FORMS[method.form](book, method)
    found = (*readings.problems, *book.problems)
    if recipe is None or _spoilt(found):
        return found
    row = readings.rows.get("standard titre" if method.form == "standardise" else "titre")
    again = repeats(book, recipe.term, row) if _repeats(book, method) else _once
    values = tuple(float(v) for v in recipe.term(centre(book)))
    if not all(math.isfinite(v) for v in values):
        return (*found, Problem("assay.impossible", "The readings give no finite result."))

    def model(x: Point) -> float:
        return float(recipe.term(x).mean()) * again(x)

    measured = propagate(book.inputs, model)
    found = (*readings.problems, *book.problems, *_limits(measured, recipe))
    if _spoilt(found):
        return found
    return _result(book, method, recipe, measured, values, found, advice(book.inputs, model))


def _once(x: Point) -> float:
    return 1.0


def _repeats(book: Book, method: Method) -> bool:
    """A standardisation has its scatter already, unless one is stated for the result."""
    if method.form == "standardise":
        return book.has("repeatability")
    return method.form != "solution" or book.has("repeatability")


def _result(
    book: Book,
    method: Method,
    recipe: Recipe,
    measured: Measured,
    values: tuple[float, ...],
    problems: Problems,
    better: tuple[str, ...],
) -> Assay:
    target = recipe.wanted
    return Assay(
        method.key,
        recipe.substance,
        target.basis if target else None,
        measured,
        _strength(measured, target) if target else None,
        values,
        book.readings.title,
        book.readings.words("bottle"),
        recipe.says,
        better,
        problems,
        tuple(s for s in dict.fromkeys((*_GUIDES, method.source, *book.sources)) if s),
        book.readings.text,
    )


def _strength(measured: Measured, target: Wanted) -> Strength:
    """Ready for a bottle: rounded to two digits of the 90 % half-width, in the wanted unit."""
    match = match_any(target.unit, 0)
    step = float(match.unit.factor) if match else 1.0
    band = measured.half_width(0.9) / step
    places = 1 - math.floor(math.log10(band)) if band > 0.0 else 6
    value = Decimal(str(round(measured.value / step, places))) * Decimal(str(step))
    spread = Decimal(str(round(band, places))) * Decimal(str(step))
    strength = Strength(float(value), target.basis, float(spread), "water", target.unit)
    return Strength(strength.value, strength.basis, strength.band, "water", target.unit,
                    write_strength(strength))  # fmt: skip


def _limits(measured: Measured, recipe: Recipe) -> Problems:
    """Less than nothing or more than all: an error, or a warning where the ± allows for it."""
    basis = recipe.wanted.basis if recipe.wanted else None
    value, half = measured.value, measured.half_width(0.95)
    if value <= 0.0:
        message = "The result is not above zero; the readings cannot be right."
        return (Problem("assay.impossible", message, (), "Check blank, excess and units."),)
    if basis not in _FRACTIONS or value <= recipe.most:
        return ()
    message = f"The result is {100.0 * value:.4g} %, more than there can be"
    if value - half <= recipe.most:
        message = f"{message}, though within its ±."
        return (Problem("assay.impossible", message, (), "", Severity.WARNING),)
    hint = "Check units, dilution, the strength of the titrant and the substance named."
    return (Problem("assay.impossible", f"{message}.", (), hint),)


def _spoilt(problems: Problems) -> bool:
    return any(p.severity is Severity.ERROR for p in problems)
