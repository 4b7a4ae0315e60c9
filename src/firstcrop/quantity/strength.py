"""Read a strength: `85 ± 2 % w/w, rest water`, `2 mol/L`, `50 % v/v`, `saturated at 20 °C`.

Nothing here raises. Twin: `quantity.write.write_strength`.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace
from decimal import Decimal
from typing import Final

from firstcrop.problems import UNPLACED, Place, Problem
from firstcrop.quantity.amount import LONGEST, Fault, Written, fault, note, scan_amount
from firstcrop.quantity.bases import match_any
from firstcrop.quantity.records import Basis, Kind, Strength
from firstcrop.quantity.units import Unit, match_unit

_REST = re.compile(
    r"\s*[,;]\s*(?:the\s+)?(?:rest|balance|remainder)\s*[:=]?\s*(?:is\s+)?(?P<rest>.*)$"
    r"|\s+(?:solution\s+|soln\.?\s+)?\(?\s*(?:dissolved\s+)?in\s+(?P<solvent>.*)$",
    re.IGNORECASE,
)
_NAME = re.compile(r"[^\W\d_][\w' \-,()·+]*")
_NOISE = re.compile(r"\s+(?:aq\.?|aqueous|solution|soln\.?|aqueous solution)$", re.IGNORECASE)
_AQUEOUS = re.compile(r"\s*(?:aq\.?|aqueous)\s+", re.IGNORECASE)
_SATURATED = re.compile(
    r"(?:saturated|sat\.?|satd\.?|sat'd)\b\.?(?:\s*(?:at|@))?\s*", re.IGNORECASE
)
_DENSITY = re.compile(
    r"(?:density|dens\.?|sp\.?\s?gr\.?|s\.?g\.?|specific gravity|d|rho|ρ)"
    r"\s*(?:of|=|:)?\s*(?=[\d~.])",
    re.IGNORECASE,
)
_LEAST = re.compile(
    r"(?:≥|>=|>|at least|min\.?|minimum|not less than|more than|over)\s*", re.IGNORECASE
)
_MOST = re.compile(
    r"(?:≤|<=|<|at most|max\.?|maximum|up to|less than|not more than|under)\s*", re.IGNORECASE
)
_GRADES = re.compile(
    r"(?P<word>conc(?:entrated|\.)?|dil(?:ute|\.)?|technical(?: grade)?|tech\.?|glacial|fuming"
    r"|reagent(?: grade)?|analytical(?: grade)?|food grade|strong|weak|unknown)\b",
    re.IGNORECASE,
)
_PURE = re.compile(r"(?:100\s*%\s*)?pure$", re.IGNORECASE)
_BAUME = re.compile(r"\s*°?\s*(?:Bé|Be|Baumé|Baume)\b", re.IGNORECASE)
_VOLUMES = re.compile(r"\s*-?\s*(?:vol|vols|volumes?)\b(?!\s*[%/])", re.IGNORECASE)
_DENSITY_UNIT: Final = Unit("g/mL", Basis.DENSITY, Decimal(1000))
_TOP: Final = (  # the most a strength can be, SI, and why
    (Basis.WW, 1.0, "more than 100 % w/w is more than there is"),
    (Basis.VV, 1.0, "more than 100 % v/v is more than there is"),
    (Basis.MOLARITY, 100e3, "no solution holds 100 mol/L"),
    (Basis.NORMALITY, 200e3, "no solution holds 200 equivalents in a litre"),
    (Basis.WV, 5000.0, "no solution holds 500 g in 100 mL"),
    (Basis.MASS_CONCENTRATION, 5000.0, "no solution holds 5 kg in a litre"),
    (Basis.DENSITY, 25_000.0, "no substance has such a density"),
    (Basis.SATURATED, 700.0, "no aqueous solution is that hot"),
)
_LEAST_DENSITY: Final = 300.0  # kg/m3, lower than any liquid or packed solid on a bench


def read_strength(text: str, place: Place = UNPLACED) -> Strength | Problem:
    """Read a strength in the SI unit of its basis; notes are dropped. Codes: `strength-...`,
    `quantity-...`. `place` is where `text` starts."""
    strength, problems = read_strength_noted(text, place)
    return problems[0] if strength is None else strength


def read_strength_noted(
    text: str, place: Place = UNPLACED
) -> tuple[Strength | None, tuple[Problem, ...]]:
    """Like `read_strength`, with notes (a bare % read as % w/w, 'pure', '≥', decimal comma)."""
    try:
        if len(text) > LONGEST:
            raise fault("strength-long", "This is too long for a strength.", place, 0, len(text))
        if not text.strip():
            message = "There is no strength here."
            hint = "Write one, like 30 % w/w."
            raise fault("strength-empty", message, place, 0, len(text), hint)
        return _read(text, place)
    except Fault as wrong:
        return None, (wrong.problem,)


def _read(text: str, place: Place) -> tuple[Strength, tuple[Problem, ...]]:
    body, rest = _cut_rest(text, place)
    at = len(body) - len(body.lstrip())
    if found := _AQUEOUS.match(body, at):
        at = found.end()
    strength, notes = _read_body(body, at, place)
    return replace(strength, rest=rest, text=text), notes


def _cut_rest(text: str, place: Place) -> tuple[str, str]:
    """The text before `, rest ...` or `in ...`, and the name of the remainder."""
    found = _REST.search(text)
    body = text[: found.start()] if found else text
    body = body.rstrip()
    if noise := _NOISE.search(body):
        body = body[: noise.start()]
    if found is None:
        return body.rstrip(" ."), "water"
    group = "rest" if found["rest"] is not None else "solvent"
    name = " ".join(found[group].lower().strip(" .").split())
    if name.endswith(")") and "(" not in name:
        name = name[:-1].rstrip()
    if not _NAME.fullmatch(name):
        size = len(text) - found.start(group)
        message = "What the rest is, is not named."
        raise fault("strength-rest", message, place, found.start(group), size, "Write rest water.")
    return body, name


def _read_body(body: str, at: int, place: Place) -> tuple[Strength, tuple[Problem, ...]]:
    size = len(body) - at
    if _PURE.match(body, at):
        told = note("strength-pure", "'pure' is read as 100 % w/w.", place, at, size)
        return Strength(1.0, Basis.WW, 0.0, "water", "% w/w"), (told,)
    if found := _SATURATED.match(body, at):
        return _saturated(body, found.end(), place, at)
    if found := _GRADES.match(body, at):
        message = f"'{found['word']}' says no strength."
        hint = "Write what the label says, such as 30 % w/w, 2 mol/L or density 1.18 g/mL."
        raise fault("strength-vague", message, place, at, len(found[0]), hint)
    if found := _DENSITY.match(body, at):
        return _density(body, found.end(), place, at)
    least, most = _LEAST.match(body, at), _MOST.match(body, at)
    bound = least or most
    written = scan_amount(body, bound.end() if bound else at, place, match_any)
    written = _with_basis(body, written, place, at)
    if bound:
        written = _bounded(written, least is not None, place, at)
    return _built(body, written, place, at)


def _with_basis(body: str, written: Written, place: Place, at: int) -> Written:
    """The amount with a unit of strength; a bare % becomes % w/w with a note."""
    unit = written.unit
    if unit is None:
        raise _no_unit(body, written, place, at)
    if isinstance(unit.kind, Basis):
        return written
    if unit.kind is Kind.DENSITY:
        return replace(written, unit=Unit(unit.name, Basis.DENSITY, unit.factor))
    if unit.kind is Kind.FRACTION and unit.name == "%":
        message = "A bare % is read as % w/w."
        told = note("strength-basis", message, place, at, written.end - at)
        ww = Unit("% w/w", Basis.WW, unit.factor)
        return replace(written, unit=ww, notes=(*written.notes, told))
    message = f"{unit.name} is no unit of strength."
    hint = "Write % w/w, % w/v, % v/v, mol/L, mol/kg, g/L, a density, or saturated at 20 °C."
    raise fault("strength-unit", message, place, at, written.end - at, hint)


def _no_unit(body: str, written: Written, place: Place, at: int) -> Fault:
    size = len(body) - at
    if _BAUME.match(body, written.end):
        message = "Degrees Baumé depend on the maker's scale."
        return fault(
            "strength-unit", message, place, at, size, "Write the density, such as 1.38 g/mL."
        )
    if _VOLUMES.match(body, written.end):
        message = "'volumes' of peroxide is a strength by gas given off."
        hint = "Write % w/w (10 volumes is about 3 % w/w)."
        return fault("strength-unit", message, place, at, size, hint)
    message = "This number needs a unit of strength."
    hint = "Write % w/w, % w/v, % v/v, mol/L, mol/kg, g/L, a density, or saturated at 20 °C."
    return fault("strength-unit", message, place, at, size, hint)


def _bounded(written: Written, least: bool, place: Place, at: int) -> Written:
    """`≥ 99 %` is 99 to 100 %; `≤ 5 %` is 0 to 5 %."""
    unit = written.unit
    if unit is None or unit.kind not in (Basis.WW, Basis.VV):
        message = "A limit says no strength."
        raise fault("strength-bound", message, place, at, written.end - at, "Write a range.")
    top = Decimal(1) / unit.factor
    low, high = (written.value, top) if least else (Decimal(0), written.value)
    message = f"Read as {low.normalize():f}–{high.normalize():f} {unit.name}."
    told = note("strength-bound", message, place, at, written.end - at)
    middle, half = (low + high) / 2, (high - low) / 2
    if half < 0:
        half = Decimal(0)
        middle = written.value
    return Written(middle, half, unit, written.end, (*written.notes, told))


def _saturated(
    body: str, at: int, place: Place, start: int
) -> tuple[Strength, tuple[Problem, ...]]:
    if not body[at:].strip():
        message = "Saturated at which temperature?"
        hint = "Write saturated at 20 °C."
        raise fault("strength-saturated", message, place, start, len(body) - start, hint)
    written = scan_amount(body, at, place, match_unit)
    if written.unit is None or written.unit.kind is not Kind.TEMPERATURE:
        message = "'saturated at' needs a temperature."
        hint = "Write saturated at 20 °C."
        raise fault("strength-saturated", message, place, at, len(body) - at, hint)
    unit = written.unit
    basis = Unit(unit.name, Basis.SATURATED, unit.factor, unit.offset)
    return _built(body, replace(written, unit=basis), place, start)


def _density(body: str, at: int, place: Place, start: int) -> tuple[Strength, tuple[Problem, ...]]:
    written = scan_amount(body, at, place, match_unit)
    unit = written.unit
    if unit is None:
        basis = _DENSITY_UNIT
    elif unit.kind in (Kind.DENSITY, Basis.MASS_CONCENTRATION):
        basis = Unit(unit.name, Basis.DENSITY, unit.factor)
    else:
        message = f"A density is not written in {unit.name}."
        raise fault("strength-unit", message, place, at, len(body) - at, "Write it in g/mL.")
    return _built(body, replace(written, unit=basis), place, start)


def _built(
    body: str, written: Written, place: Place, at: int
) -> tuple[Strength, tuple[Problem, ...]]:
    unit = written.unit
    if unit is None or not isinstance(unit.kind, Basis):
        raise _no_unit(body, written, place, at)
    if rest := body[written.end :].strip():
        start = written.end + body[written.end :].index(rest)
        message = f"'{rest}' after the strength is not understood."
        raise fault("strength-trailing", message, place, start, len(rest))
    value, band = unit.si(written.value), unit.step(written.band)
    if wrong := _impossible(unit.kind, value, band):
        message = f"{body.strip()} is impossible: {wrong}."
        raise fault("strength-impossible", message, place, at, len(body) - at)
    return Strength(value, unit.kind, band, "water", unit.name), written.notes


def _impossible(basis: Basis, value: float, band: float) -> str:
    if not (math.isfinite(value) and math.isfinite(band)):
        return "the number is too large"
    if value < 0.0:
        return "a strength cannot be negative"
    if basis is Basis.DENSITY and value < _LEAST_DENSITY:
        return "no liquid has such a density (is it in g/mL?)"
    return next((why for b, top, why in _TOP if b is basis and value > top), "")
