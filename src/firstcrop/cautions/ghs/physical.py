"""Fire and other physical classes of a mixture, as far as they follow from composition.

Most of them need a test of the mixture itself; where they do, that is said.
"""

from __future__ import annotations

from firstcrop.bank.ghs import flash_points
from firstcrop.cautions.ghs.ingredient import Ingredient

FLAMMABLE = ("H224", "H225", "H226")
OXIDISING = ("H271", "H272")
MOSTLY = 0.8  # kg/kg from which a mixture counts as the pure thing
OXIDISER = 0.30  # kg/kg in a solid mixture from which the class of the oxidiser is kept
SOLVENT = 0.10  # kg/kg of a flammable liquid whose flash point in water nobody listed
HOTTEST = 333.15  # K: above this flash point a liquid is not classified (UN GHS 2.6, CLP)
COOL = 296.15  # K: below this flash point it is category 2


def physical(ingredients: tuple[Ingredient, ...], form: str) -> list[tuple[str, str]]:
    """(code, reason); an empty code says what could not be told."""
    found: list[tuple[str, str]] = []
    for i in ingredients:
        if i.share <= 0.0:
            continue
        for code in i.codes:
            if code.startswith("H2") and code != "H290":
                found += _one(i, code, form)
        found += [
            (lim.code, f"{i.name} {i.share * 100:.3g} %, own limit {lim.low * 100:.3g} %")
            for lim in i.limits
            if lim.code.startswith("H2")
            and lim.low <= i.share
            and (i.share < lim.high or lim.high >= 1.0)
        ]
    return found


def _one(i: Ingredient, code: str, form: str) -> list[tuple[str, str]]:
    percent = f"{i.name} {i.share * 100:.3g} %"
    if i.own(code) is not None or any(lim.code in OXIDISING for lim in i.limits):
        return []
    if i.share >= MOSTLY:
        return [(code, percent)]
    if code in FLAMMABLE:
        return _flash(i, code, percent)
    if code in OXIDISING and form == "dust":
        return [(code, percent)] if i.share >= OXIDISER else [_test(i, "oxidising")]
    if code in OXIDISING:
        return [_test(i, "oxidising")]
    return [(code, percent)] if form == "gas" else [_test(i, "fire")] if i.share > SOLVENT else []


def _flash(i: Ingredient, code: str, percent: str) -> list[tuple[str, str]]:
    points = flash_points().get(i.name)
    if points is None:
        return [(code, percent)] if i.share >= SOLVENT else [_test(i, "flash point")]
    flash = next((t for share, t in reversed(points) if i.share >= share), None)
    if flash is None:
        return []
    told = f"{percent}: flash point near {flash - 273.15:.0f} °C"
    return [("H225" if flash < COOL else "H226", told)] if flash <= HOTTEST else []


def _test(i: Ingredient, what: str) -> tuple[str, str]:
    return ("", f"{what} class with {i.name} {i.share * 100:.2g} %: needs a test of the mixture")
