"""What an assay is: method, result with its budget, what was flagged, what to improve."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from firstcrop.problems import Problem
from firstcrop.quantity.records import Basis, Strength
from firstcrop.shelf.gum import Measured

Problems = tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class Method:
    """A row of `assay_methods.tsv`."""

    key: str
    names: tuple[str, ...]
    form: str
    titrant: str = ""
    back: str = ""
    end: str = ""
    note: str = ""
    source: str = ""
    rows: tuple[tuple[str, bool], ...] = ()  # readings it takes, and whether it needs them


@dataclass(frozen=True, slots=True)
class Counted:
    """What a titration counts: mol of `substance` for one mol of titrant."""

    method: str
    substance: str
    ratio: Fraction
    equations: tuple[str, ...]
    end: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class Standard:
    """A primary standard: mol of `titrant` for one mol of it."""

    titrant: str
    name: str
    formula: str
    ratio: Fraction
    equations: tuple[str, ...]
    drying: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class Assay:
    """A result in the SI unit of `basis` (mol/mol when that is None), with all it rests on.

    `strength` is ready for a bottle or a sheet: its spread is the 90 % half-width. It is None
    where the result is no strength (a melting point).
    """

    method: str
    substance: str
    basis: Basis | None
    measured: Measured
    strength: Strength | None
    replicates: tuple[float, ...]
    title: str = ""
    bottle: str = ""
    says: tuple[str, ...] = ()  # sentences about the result, for people
    advice: tuple[str, ...] = ()  # what to improve first
    problems: Problems = ()  # warnings and notes
    sources: tuple[str, ...] = ()
    text: str = ""  # the readings as given

    @property
    def value(self) -> float:
        """The result in SI."""
        return self.measured.value

    @property
    def u(self) -> float:
        """Its combined standard uncertainty."""
        return self.measured.u


def assay_json(assay: Assay) -> dict[str, Any]:
    """An Assay as plain JSON values, for a store: SI throughout; no infinity (null instead)."""
    m = assay.measured
    return {
        "method": assay.method,
        "substance": assay.substance,
        "basis": assay.basis.value if assay.basis else None,
        "value": m.value,
        "u": m.u,
        "band90": m.half_width(0.90),
        "band95": m.half_width(0.95),
        "freedom": _finite(m.freedom),
        "strength": assay.strength.text if assay.strength else None,
        "replicates": list(assay.replicates),
        "says": list(assay.says),
        "advice": list(assay.advice),
        "problems": [
            {"code": p.code, "severity": p.severity.value, "message": p.message, "hint": p.hint}
            for p in assay.problems
        ],
        "sources": list(assay.sources),
        "budget": [
            {
                "name": r.input.name,
                "of": r.input.of,
                "label": r.input.label,
                "value": r.input.value,
                "u": r.input.u,
                "unit": r.input.unit,
                "shape": r.input.shape.value,
                "freedom": _finite(r.input.freedom),
                "sensitivity": r.sensitivity,
                "contribution": r.contribution,
                "share": r.share,
                "source": r.input.source,
            }
            for r in m.rows
        ],
        "readings": assay.text,
    }


def _finite(number: float) -> float | None:
    return number if number < float("inf") else None
