"""Acute toxicity of a mixture by adding up estimates (UN GHS 3.1.3.6)."""

from __future__ import annotations

from dataclasses import dataclass

from firstcrop.bank.ghs import AcuteBand, acute_bands
from firstcrop.cautions.ghs.ingredient import Ingredient, total

UNKNOWN_ENOUGH = 0.10  # kg/kg of ingredients of unknown toxicity from which the sum is corrected
CUT_OFF = 0.001  # kg/kg, categories 1 to 3; ten times that for category 4 (UN GHS 3.1.3.3)
DEFAULT = 2  # the category of H300, H310 and H330 when nobody says
PER_CENT = 100.0


@dataclass(frozen=True, slots=True)
class Estimate:
    """The acute toxicity estimate of a mixture by one route: mg/kg, mg/L or ppm; infinite when
    nothing in it is toxic. `band` is the category it falls in, `missing` the unknown share."""

    route: str
    value: float
    band: AcuteBand | None
    missing: float


def estimate(ingredients: tuple[Ingredient, ...], route: str) -> Estimate:
    """100/ATE = Σ C/ATE, or (100 - Σ C unknown)/ATE with more than 10 % unknown."""
    missing = total(i for i in ingredients if not i.known)
    whole = 1.0 - missing if missing > UNKNOWN_ENOUGH else 1.0
    added = sum(_part(i, route) for i in ingredients if i.known)
    value = whole / added if added > 0.0 else float("inf")
    band = next((b for b in acute_bands()[route] if value <= b.up_to), None)
    return Estimate(route, value, band, missing)


def acute(ingredients: tuple[Ingredient, ...]) -> list[tuple[str, str]]:
    """(code, reason) by every route."""
    routes = ("oral", "dermal", *dict.fromkeys(i.form for i in ingredients))
    found: dict[str, str] = {}
    for route in routes:
        told = estimate(ingredients, route)
        if told.band is not None:
            found.setdefault(told.band.code, _reason(told))
    for i in ingredients:
        for limit in i.limits:
            if limit.code in _codes() and limit.low <= i.share:
                found.setdefault(
                    limit.code, f"{i.name} {_percent(i.share)}, own limit {_percent(limit.low)}"
                )
    return list(found.items())


def ate_of(i: Ingredient, route: str) -> float | None:
    """The estimate of an ingredient: its own, or the converted value of its category."""
    breathed = route not in ("oral", "dermal")
    if breathed and i.form != route:
        return None
    own = i.detail.estimates.get("inhaled" if breathed else route)
    if own is not None:
        return own
    bands = [b for b in acute_bands()[route] if b.code in i.codes]
    if not bands:
        return None
    code = bands[0].code  # the gravest it carries
    category = i.detail.categories.get(code, DEFAULT)
    alike = [b for b in bands if b.code == code]
    return next((b for b in alike if b.category == category), alike[-1]).converted


def _part(i: Ingredient, route: str) -> float:
    ate = ate_of(i, route)
    if ate is None:
        return 0.0
    harmful = any(code.endswith("2") for code in i.codes if code in ("H302", "H312", "H332"))
    grave = any(code in i.codes for code in ("H300", "H301", "H310", "H311", "H330", "H331"))
    cut_off = CUT_OFF if grave or not harmful else 10.0 * CUT_OFF
    return i.share / ate if i.share >= cut_off else 0.0


def _codes() -> tuple[str, ...]:
    return ("H300", "H301", "H302", "H310", "H311", "H312", "H330", "H331", "H332")


def _percent(share: float) -> str:
    return f"{share * PER_CENT:.3g} %"


def _reason(told: Estimate) -> str:
    unit = "mg/kg" if told.route in ("oral", "dermal") else "ppm" if told.route == "gas" else "mg/L"
    band = told.band
    limit = f" (limit {band.up_to:g})" if band else ""
    return f"acute toxicity estimate, {told.route}: {told.value:.3g} {unit}{limit}"
