"""How much water a crop held, from a portion dried to a residue of known formula."""

from __future__ import annotations

import math

from firstcrop.account.numbers import measured, unknown
from firstcrop.account.records import DryingLoss
from firstcrop.bank.bank import Bank
from firstcrop.chem.formula import parse_formula
from firstcrop.chem.weights import molar_mass
from firstcrop.forecast.records import Number, Term, Working
from firstcrop.problems import Problem


def _mass_of(bank: Bank, text: str) -> float | Problem:
    formula = parse_formula(text)
    if isinstance(formula, Problem):
        return formula
    found = molar_mass(formula, bank.weights)
    return found if isinstance(found, Problem) else found[0]


def waters(bank: Bank, loss: DryingLoss) -> Number:
    """mol of water lost a mol of residue, by gravimetry; unknown when the weighings make no sense.

    n = (before - after) / M(H2O) / (after / M(residue)).
    """
    residue, water = _mass_of(bank, loss.residue), _mass_of(bank, "H2O")
    if isinstance(residue, Problem):
        return unknown("1", residue.message)
    assert not isinstance(water, Problem)
    if not 0.0 < loss.after <= loss.before:
        return unknown("1", "the portion must weigh less after drying than before, and not nothing")
    value = (loss.before - loss.after) / water * residue / loss.after
    # one weighing off by the band shifts n by this much, before and after in quadrature
    slope = residue / water / loss.after
    band = loss.band * slope * math.hypot(1.0, loss.before / loss.after)
    terms = (
        Term("water lost", (loss.before - loss.after) / water, "mol"),
        Term(f"1 / {loss.residue} left", residue / loss.after, "1/mol"),
    )
    return measured(value, band, "1", Working(value, "1", "product", terms, "loss on drying"))


def dry_part(bank: Bank, loss: DryingLoss, target: str) -> Number:
    """kg of the target hydrate per kg of crop as weighed: the residue counted as the hydrate."""
    residue, hydrate = _mass_of(bank, loss.residue), _mass_of(bank, target)
    if isinstance(residue, Problem) or isinstance(hydrate, Problem):
        return unknown("1", f"{loss.residue} or {target} has no molar mass")
    if not 0.0 < loss.after <= loss.before:
        return unknown("1", "the portion must weigh less after drying than before, and not nothing")
    part = loss.after / loss.before * hydrate / residue
    band = part * loss.band * math.hypot(1.0 / loss.after, 1.0 / loss.before)
    terms = (
        Term("residue of the portion", loss.after / loss.before, "1"),
        Term(f"{target} over {loss.residue}", hydrate / residue, "1"),
    )
    return measured(part, band, "1", Working(part, "1", "product", terms, "loss on drying"))
