"""Molar masses from atomic weights that the caller brings: no numbers here."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from firstcrop.chem.formula import Formula
from firstcrop.problems import Problem


@dataclass(frozen=True, slots=True)
class Weight:
    """A standard atomic weight in kg/mol with its standard uncertainty."""

    value: float
    uncertainty: float


Weights = Mapping[str, Weight]


def molar_mass(formula: Formula, weights: Weights) -> tuple[float, float] | Problem:
    """Molar mass and its standard uncertainty, kg/mol.

    All atoms of one element share its error; elements are independent. The electrons of a
    charge (5.5e-4 g/mol each) are left out, so the ions of a salt add up to the salt.
    Code: weight-missing, for an element that `weights` has not.
    """
    total, variance = 0.0, 0.0
    for symbol, atoms in formula.elements:
        weight = weights.get(symbol)
        if weight is None:
            message = (
                f"{symbol} has no standard atomic weight, so {formula.text} has no molar mass."
            )
            return Problem("weight-missing", message)
        total += float(atoms) * weight.value
        variance += (float(atoms) * weight.uncertainty) ** 2
    return total, math.sqrt(variance)
