"""The cells of a reading: a value with its unit, and what it was measured with."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from firstcrop.problems import Place, Problem
from firstcrop.quantity.amount import LONGEST, Fault, scan_amount
from firstcrop.quantity.bases import match_any
from firstcrop.quantity.records import Basis, Kind, Strength
from firstcrop.quantity.strength import read_strength_noted
from firstcrop.quantity.units import Match, Unit
from firstcrop.shelf.glassware import Piece, find_piece
from firstcrop.shelf.gum import Shape

_PER_MOL = (
    (re.compile(r"g\s?/\s?mol(?!\w)"), Unit("g/mol", Kind.NUMBER, Decimal("0.001"))),
    (re.compile(r"kJ\s?/\s?mol(?!\w)"), Unit("kJ/mol", Kind.NUMBER, Decimal(1000))),
)
_KINDS = MappingProxyType(
    {
        "mass": (Kind.MASS, "a mass, such as 0.3888 g"),
        "volume": (Kind.VOLUME, "a volume, such as 18.64 mL"),
        "density": (Kind.DENSITY, "a density, such as 1.05 g/mL"),
        "temperature": (Kind.TEMPERATURE, "a temperature, such as 21 °C"),
        "fraction": (Kind.FRACTION, "a per cent, such as 99.95 %"),
    }
)
_WORDS = re.compile(
    r"(?P<word>limits?(?:\s+of\s+error)?|tolerance|u|uncertainty|repeatability|s)\s*[=:]?\s*"
    r"(?:±\s*)?(?=[\d.,])",
    re.IGNORECASE,
)
LARGEST = 1e9  # SI; no reading at a bench is
_FROM_TO = re.compile(
    r"(?P<start>[\d.,]+)\s*(?:mL|ml)?\s*(?:[-–—]|→|->|to)\s*(?P<end>[\d.,]+\s*\D*)", re.IGNORECASE
)
_NUMBER_END = re.compile(
    r"[\d.,]+(?:\s*[eE][+\-]?\d+)?(?:\s*(?:[-–—]|→|->|to)\s*[\d.,]+)?\s*", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class Value:
    """A value in SI, its written 90 % half-width, and the size of its last written digit."""

    value: float
    band: float
    digit: float
    unit: Unit
    strength: Strength | None = None


@dataclass(frozen=True, slots=True)
class Means:
    """What a reading was measured with; half-widths and uncertainties in SI, 0 when not said."""

    piece: Piece | None = None
    limits: float = 0.0
    shape: Shape = Shape.RECTANGULAR
    u: float = 0.0
    repeatability: float = 0.0
    difference: bool = False
    text: str = ""

    @property
    def said(self) -> bool:
        """Whether it says how far the reading may be off."""
        return bool(self.piece or self.limits or self.u)


def match(text: str, at: int) -> Match | None:
    """The unit that starts at `at`, of a quantity, a strength or per mole."""
    for pattern, unit in _PER_MOL:
        if found := pattern.match(text, at):
            return Match(unit, found.end())
    return match_any(text, at)


def join_units(parts: Sequence[str]) -> list[tuple[str, str]]:
    """Each part, and the same with the unit of the last part behind it where it has none."""
    unit = ""
    for part in reversed(parts):
        found = _NUMBER_END.match(part.strip())
        if found and found.end() < len(part.strip()):
            unit = part.strip()[found.end() :]
            break
    return [
        (p, f"{p.strip()} {unit}" if _NUMBER_END.fullmatch(p.strip()) and unit else p)
        for p in parts
    ]


def read_value(text: str, place: Place, kind: str) -> tuple[Value | None, tuple[Problem, ...]]:
    """One value of a kind of `assay_readings.tsv`; None comes with an error."""
    if len(text) > LONGEST:
        return None, (Problem("assay.long", "This is too long for a value.", (place,)),)
    try:
        value, notes = (_strength if kind == "strength" else _quantity)(text, place, kind)
    except Fault as wrong:
        return None, (wrong.problem,)
    if not (abs(value.value) < LARGEST and abs(value.band) < LARGEST):
        return None, (Problem("assay.value-size", "The number is too large.", (place,)),)
    if value.value < 0.0 or (value.value == 0.0 and kind not in ("volume", "fraction")):
        what = "negative" if value.value < 0.0 else "zero"
        message = f"A reading cannot be {what}: {text}."
        return None, (Problem("assay.negative", message, (place,)),)
    return value, notes


def _quantity(text: str, place: Place, kind: str) -> tuple[Value, tuple[Problem, ...]]:
    if between := _FROM_TO.fullmatch(text.strip()):
        return _run(between["start"], between["end"], place, kind)
    written = scan_amount(text, 0, place, match)
    unit = written.unit or Unit("", Kind.NUMBER, Decimal(1))
    if problem := _wrong_unit(unit, kind, text, place):
        raise Fault(problem)
    if rest := text[written.end :].strip():
        message = f"'{rest}' after the value is not understood."
        raise Fault(Problem("assay.value-rest", message, (place,), "Replicates take ; between."))
    value, band = unit.si(written.value), unit.step(written.band)
    return Value(value, band, unit.step(_digit(written.value)), unit), written.notes


def _run(start: str, end: str, place: Place, kind: str) -> tuple[Value, tuple[Problem, ...]]:
    """A burette read before and after: `0.10 to 16.80 mL` is 16.70 mL. Nothing else is a range."""
    if kind != "volume":
        message = "A reading is one value, not a range."
        raise Fault(Problem("assay.range", message, (place,), "Write the value with a ±."))
    last, notes = _quantity(end, place, kind)
    first, _ = _quantity(f"{start} {last.unit.name}", place, kind)
    digit = max(first.digit, last.digit)
    return Value(last.value - first.value, 0.0, digit, last.unit), notes


def _strength(text: str, place: Place, kind: str) -> tuple[Value, tuple[Problem, ...]]:
    strength, notes = read_strength_noted(text, place)
    if strength is None:
        raise Fault(notes[-1])
    written = scan_amount(text, 0, place, match_any)
    unit = written.unit or Unit("", Kind.NUMBER, Decimal(1))
    digit = unit.step(_digit(written.value))
    return Value(strength.value, strength.band, digit, unit, strength), notes


def _wrong_unit(unit: Unit, kind: str, text: str, place: Place) -> Problem | None:
    if kind in ("molar mass", "molar energy"):
        wanted = "g/mol" if kind == "molar mass" else "kJ/mol"
        good, example = unit.name == wanted, f"a value in {wanted}"
    elif kind == "number":
        good, example = unit.kind is Kind.NUMBER and not unit.name, "a bare number"
    else:
        choices = [_KINDS[k.strip()] for k in kind.split(";")]
        good = unit.kind in {k for k, _ in choices} or (
            kind == "density" and unit.kind in (Basis.MASS_CONCENTRATION, Basis.DENSITY)
        )
        good = good or (kind == "fraction" and unit.kind is Basis.WW)
        example = " or ".join(e for _, e in choices)
    if good:
        return None
    said = f"'{text}' is in {unit.name}" if unit.name else f"'{text}' has no unit"
    return Problem("assay.unit", f"{said}, which does not fit here.", (place,), f"Write {example}.")


def _digit(number: Decimal) -> Decimal:
    exponent = number.as_tuple().exponent
    return Decimal(1).scaleb(exponent if isinstance(exponent, int) else 0)


def read_means(text: str, place: Place) -> tuple[Means, tuple[Problem, ...]]:
    """What a reading was measured with. Codes: assay.ware-..., assay.means."""
    problems: list[Problem] = []
    fields: dict[str, object] = {}
    for part in (p.strip() for p in text.split(";")):
        if not part:
            continue
        if part.lower() in ("by difference", "difference"):
            fields["difference"] = True
        elif found := _WORDS.match(part):
            problems.extend(_worded(found["word"].lower(), part[found.end() :], place, fields))
        else:
            piece, wrong = find_piece(part, place)
            problems.extend(wrong)
            if piece is not None:
                fields["piece"] = piece
    return Means(**fields, text=text), tuple(problems)  # type: ignore[arg-type]


def _worded(word: str, rest: str, place: Place, fields: dict[str, object]) -> tuple[Problem, ...]:
    try:
        written = scan_amount(rest, 0, place, match)
    except Fault as wrong:
        return (wrong.problem,)
    size = written.unit.step(written.value) if written.unit else float(written.value)
    tail = rest[written.end :].strip().lower()
    if not (0.0 < size < LARGEST) or tail not in ("", *Shape):
        message = f"'{word} {rest}' is not understood."
        hint = "Write limits 0.03 mL, limits 0.03 mL triangular, u 0.05 mg or repeatability 0.02 mL"
        return (Problem("assay.means", message, (place,), hint),)
    if word.startswith(("limit", "tolerance")):
        fields["limits"] = size
        fields["shape"] = Shape(tail) if tail else Shape.RECTANGULAR
    else:
        fields["u" if word.startswith("u") else "repeatability"] = size
    return ()
