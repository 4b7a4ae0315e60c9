"""The bench substances: what one can weigh or pour, its matter and its pure-substance values."""

from __future__ import annotations

from functools import cache

from firstcrop.bank.elements import load_weights
from firstcrop.bank.hazards import load_hazards
from firstcrop.bank.records import Datum, Obtained, Substance
from firstcrop.bank.tables import Row, read_table
from firstcrop.chem.formula import Formula, parse_formula
from firstcrop.chem.weights import Weights, molar_mass
from firstcrop.problems import Problem

ZERO_CELSIUS = 273.15  # K


@cache
def load_substances() -> tuple[Substance, ...]:
    """Every row of `substances.tsv`, H codes joined from `hazards.tsv`.

    Raises ValueError for a formula that cannot be read: the table is ours, so it is a bug.
    """
    codes = {hazard.substance: hazard.codes for hazard in load_hazards()}
    weights = load_weights()
    return tuple(_substance(row, weights, codes) for row in read_table("substances"))


def _substance(row: Row, weights: Weights, codes: dict[str, tuple[str, ...]]) -> Substance:
    key = row.text("key")
    formula = parse_formula(row.text("formula"), row.place)
    if isinstance(formula, Problem):
        raise ValueError(f"{row.place.file}:{row.place.line}: {formula.message}")
    return Substance(
        key=key,
        names=row.names("names"),
        formula=row.text("formula"),
        phase=row.text("phase"),
        components=row.stoichiometry("components"),
        molar_mass=_mass(formula, weights),
        density=row.datum("density", "kg/m3", 1000.0, f"density of {key}"),
        formation=row.datum("formation", "J/mol", 1000.0, f"ΔfH° of {key}"),
        heat_capacity=row.datum("heat_capacity", "J/(mol K)", 1.0, f"Cp of {key}"),
        melting_point=_celsius(row, "melting", f"melting point of {key}"),
        boiling_point=_celsius(row, "boiling", f"boiling point of {key}"),
        cas=row.text("cas"),
        hazards=codes.get(key, ()),
        notes=row.text("notes"),
        place=row.place,
    )


def _mass(formula: Formula, weights: Weights) -> float:
    mass = molar_mass(formula, weights)
    if isinstance(mass, Problem):
        raise ValueError(mass.message)
    return mass[0]


def _celsius(row: Row, heading: str, label: str) -> Datum | None:
    value = row.number(heading)
    if value is None:
        return None
    obtained, source = Obtained(row.text("melting_obtained")), row.text("melting_source")
    return Datum(value + ZERO_CELSIUS, "K", 1.0, obtained, source, "", label, row.place)
