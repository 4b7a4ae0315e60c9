"""The one place where a caution is put into words."""

from __future__ import annotations

from firstcrop.bank.cautions import load_wordings
from firstcrop.bank.records import Obtained
from firstcrop.forecast.records import Caution
from firstcrop.problems import Place, Severity

VERIFIED = (Obtained.MEASURED, Obtained.DERIVED, Obtained.FIT, Obtained.PRACTICE)


def say(
    key: str,
    step: int,
    place: Place,
    /,
    *,
    code: str = "",
    severity: Severity | None = None,
    unverified: bool | None = None,
    **facts: str,
) -> Caution:
    """The caution `key` of `cautions.tsv` with its facts filled in; `code` when it is finer than
    the key. `unverified` follows from how its row was obtained unless it is said."""
    row = load_wordings()[key]
    return Caution(
        code=code or key,
        severity=severity or row.severity,
        message=upper(row.message.format(**facts)),
        why=upper(row.why.format(**facts)),
        source=row.source.format(**facts),
        remedy=row.remedy.format(**facts),
        step=step,
        place=place,
        unverified=row.obtained not in VERIFIED if unverified is None else unverified,
    )


def upper(text: str) -> str:
    """A first letter in capitals, the rest as it is."""
    return text[:1].upper() + text[1:]


def celsius(kelvin: float) -> str:
    """A temperature in whole degrees."""
    return f"{kelvin - 273.15:.0f} °C"


def volume(cubic_metres: float) -> str:
    """A volume of gas, two figures: 3.6 L, 450 mL."""
    litres = cubic_metres * 1e3
    size, unit = (litres, "L") if litres >= 1.0 else (litres * 1e3, "mL")
    return f"{float(f'{size:.2g}'):g} {unit}"


def millilitres(cubic_metres: float) -> str:
    """A volume of liquid, three figures."""
    return f"{cubic_metres * 1e6:.3g} mL"
