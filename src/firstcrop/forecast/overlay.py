"""Rows of `## Substances` laid over the bank for one sheet."""

from __future__ import annotations

import re
from dataclasses import replace
from types import MappingProxyType

from firstcrop.bank.bank import Bank
from firstcrop.bank.decompose import decompose
from firstcrop.bank.records import CurvePoint, Datum, Obtained, Solid, Substance
from firstcrop.chem.formula import Formula, parse_formula
from firstcrop.chem.weights import molar_mass
from firstcrop.problems import Place, Problem, Severity
from firstcrop.sheet.records import Preparation, SubstanceRow

_NUMBER = re.compile(r"[-+−]?\d+(?:[.,]\d+)?")
_POINT = re.compile(r"([-−]?\d+(?:[.,]\d+)?)\s*°?\s*C?\s*:\s*(\d+(?:[.,]\d+)?)")
CELSIUS = 273.15


def overlaid(prep: Preparation, bank: Bank) -> tuple[Bank, tuple[Problem, ...]]:
    """The bank with the sheet's own substances in front; the bank itself when there are none."""
    if not prep.substances:
        return bank, ()
    substances = dict(bank.substances)
    solids = dict(bank.solids)
    problems: list[Problem] = []
    for row in prep.substances:
        made = _substance(row, bank)
        if isinstance(made, Problem):
            problems.append(made)
            continue
        substances[made.key] = made
        problems.extend(_remarks(made, row))
        solid = _solid(made, row)
        if solid is not None:
            solids[solid.key] = solid
    whole = replace(bank, substances=MappingProxyType(substances), solids=MappingProxyType(solids))
    return whole, tuple(problems)


def cell(row: SubstanceRow, *words: str) -> str:
    """The first cell whose heading holds one of the words; '' when there is none."""
    for heading, text in row.cells:
        if any(word in heading.lower() for word in words):
            return text.strip()
    return ""


def number_in(text: str) -> float | None:
    """The first number of a cell."""
    found = _NUMBER.search(text)
    return float(found.group().replace(",", ".").replace("−", "-")) if found else None


def _datum(row: SubstanceRow, scale: float, unit: str, label: str, *words: str) -> Datum | None:
    value = number_in(cell(row, *words))
    if value is None:
        return None
    source = cell(row, "source") or "the sheet"
    return Datum(
        value * scale,
        unit,
        0.0,
        Obtained.MEASURED,
        source,
        "## Substances",
        f"{label} of {row.name}",
        row.place,
    )


def _substance(row: SubstanceRow, bank: Bank) -> Substance | Problem:
    text = cell(row, "formula")
    formula = parse_formula(text, row.place) if text else None
    if not isinstance(formula, Formula):
        return formula or Problem(
            "missing formula", f"{row.name} has no formula", (row.place,), "fill in the column"
        )
    parts = decompose(bank, formula)
    weighed = molar_mass(formula, bank.weights)
    if isinstance(weighed, Problem):
        return weighed
    phase = cell(row, "phase", "state") or "solid"
    stays = "insoluble" in " ".join(t.lower() for _, t in row.cells)
    return Substance(
        key=row.name.lower(),
        names=(row.name, text),
        formula=text,
        phase=phase,
        components=() if stays or isinstance(parts, Problem) else parts,
        molar_mass=weighed[0],
        density=_datum(row, 1000.0, "kg/m3", "density", "density"),
        formation=_datum(row, 1000.0, "J/mol", "heat of formation", "formation"),
        heat_capacity=_datum(row, 1.0, "J/(mol K)", "heat capacity", "heat capacity", "cp"),
        hazards=tuple(re.findall(r"(?:EU)?H\d{3}[A-Za-z]*", cell(row, "hazard"))),
        notes="from the sheet",
        place=row.place,
    )


def _remarks(made: Substance, row: SubstanceRow) -> tuple[Problem, ...]:
    if made.components:
        return ()
    return (
        Problem(
            "stays out of solution",
            f"{row.name} ({made.formula}) is taken to stay undissolved: its parts are no "
            "components of the bank, or it is said to be insoluble",
            (row.place,),
            severity=Severity.NOTE,
        ),
    )


def _solid(made: Substance, row: SubstanceRow) -> Solid | None:
    """A solubility cell such as `0 °C: 3.0; 20 °C: 5.9` (g per 100 g water) as a curve."""
    text = cell(row, "solubility")
    points = tuple(
        _curve_point(t, v, cell(row, "source"), row.place) for t, v in _POINT.findall(text)
    )
    if not points or not made.components:
        return None
    return Solid(
        key=made.formula,
        substance=made.key,
        components=made.components,
        anhydrous=made.formula,
        names=made.names,
        density=made.density,
        formation=made.formation,
        heat_capacity=made.heat_capacity,
        curve=points,
        place=row.place,
    )


def _curve_point(temperature: str, value: str, source: str, place: Place) -> CurvePoint:
    t = float(temperature.replace(",", ".").replace("−", "-")) + CELSIUS
    return CurvePoint(
        t, float(value.replace(",", ".")), 0.0, Obtained.MEASURED, source or "the sheet", place
    )
