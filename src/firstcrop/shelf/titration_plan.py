"""What sample to take, so that the titre is 60 to 90 % of the burette."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from firstcrop.bank.bank import Bank
from firstcrop.bank.lookup import substance_named
from firstcrop.problems import Problem, Severity
from firstcrop.quantity.records import Basis, Strength
from firstcrop.shelf.assay_book import AT_20
from firstcrop.shelf.assay_density import density_curve
from firstcrop.shelf.assay_methods import find_counted, find_method
from firstcrop.shelf.glassware import Piece, load_glassware
from firstcrop.shelf.titration_records import SamplePlan

LEAST, MOST, AIM = 0.6, 0.9, 0.75  # of the burette: the usual advice
PIPETTES = (5e-6, 10e-6, 20e-6, 25e-6, 50e-6)  # m3; smaller ones lose too much
FLASKS = (50e-6, 100e-6, 250e-6, 500e-6, 1000e-6)
LIGHT = 2e-4  # kg: less is weighed badly, so more is weighed and made up
NEARLY = 1.3  # times the smallest uncertainty: as good, if it saves material


def plan_sample(
    method_key: str,
    substance: str,
    strength: Strength,
    titrant: float,
    burette: Piece,
    bank: Bank,
    density: float | None = None,
    solid: bool = False,
) -> SamplePlan | Problem:
    """A plan for a material of about `strength`, a titrant of mol/m3 and a burette.

    `density`, kg/m3, turns mass into volume where the strength is by mass; without it that of the
    bank is taken. A solid is weighed. Codes: assay.method, assay.substance, assay.plan.
    """
    method = find_method(method_key)
    if isinstance(method, Problem):
        return method
    counted = find_counted(method, substance, bank)
    if isinstance(counted, Problem):
        return counted
    found = substance_named(bank, counted.substance)
    if found is None or titrant <= 0.0:
        return Problem("assay.plan", "The plan needs a substance of the bank and a titrant.")
    held = _held(strength, found.molar_mass, density, bank, counted.substance, solid)
    if isinstance(held, Problem):
        return held
    use = held / (titrant * float(counted.ratio))  # m3 of titrant for a kg or m3 of the material
    wide = strength.band / strength.value
    best = _best(list(_weighed(use, burette) if solid else _poured(use, burette)))
    words = _words(best, method.form == "back")
    amount = best.titre[1] * titrant * float(counted.ratio)
    return replace(best, titre=_spread(best, wide), amount=amount, words=words,
                   problems=_doubts(best, wide))  # fmt: skip


def _best(plans: list[SamplePlan]) -> SamplePlan:
    """Of the plans that use the burette well and are nearly as good as the best, the one that
    takes least of the material."""
    closest = min(_misses(p) for p in plans)
    near = [p for p in plans if _misses(p) <= closest + 1e-9]
    finest = min(p.ware for p in near)
    return min((p for p in near if p.ware <= NEARLY * finest), key=lambda p: (p.sample, p.flask))


def _held(
    strength: Strength, molar: float, density: float | None, bank: Bank, name: str, solid: bool
) -> float | Problem:
    """mol in a kg (solid) or a m3 of the material."""
    value, basis = strength.value, strength.basis
    if basis is Basis.WW and value > 0.0:
        if solid:
            return value / molar
        known = density if density is not None else _density(bank, name, value)
        return known if isinstance(known, Problem) else value * known / molar
    if basis in (Basis.WV, Basis.MASS_CONCENTRATION, Basis.MOLARITY) and value > 0.0 and not solid:
        return value if basis is Basis.MOLARITY else value / molar
    wanted = "% w/w" if solid else "% w/w, % w/v, g/L or mol/L"
    return Problem("assay.plan", f"A plan needs a strength above zero in {wanted}.")


def _density(bank: Bank, name: str, fraction: float) -> float | Problem:
    """kg/m3 at 20 °C of a solution, from the bank."""
    curve = density_curve(bank, name)
    if isinstance(curve, Problem) or fraction > curve.top:
        hint = "Say its density, or weigh it."
        return Problem("assay.plan", f"The density of {name} is not known.", (), hint)
    return curve.density(fraction, AT_20)


def _weighed(use: float, burette: Piece) -> Iterator[SamplePlan]:
    """Weighed for each titration, or weighed once and made up."""
    mass = AIM * burette.nominal / use
    burette_part = burette.u / (AIM * burette.nominal)
    balance = 1.6e-7  # kg, standard uncertainty of a difference on a balance to 0.1 mg
    yield _plan(mass, True, 0.0, 0.0, use * mass, burette, balance / mass, burette_part)
    for flask, aliquot, part in _dilutions():
        more = mass * flask / aliquot
        yield _plan(more, True, flask, aliquot, use * mass, burette, balance / more, burette_part,
                    part)  # fmt: skip


def _poured(use: float, burette: Piece) -> Iterator[SamplePlan]:
    """Pipetted for each titration, or pipetted once and made up."""
    for taken in PIPETTES:
        own = _ware("pipette", taken)
        yield _plan(taken, False, 0.0, 0.0, use * taken, burette, own)
        for flask, aliquot, part in _dilutions():
            if flask > taken:
                titre = use * taken * aliquot / flask
                yield _plan(taken, False, flask, aliquot, titre, burette, own, part)


def _dilutions() -> Iterator[tuple[float, float, float]]:
    for flask in FLASKS:
        for aliquot in PIPETTES:
            if 3.0 * aliquot <= flask:  # enough for three titrations
                part = math.hypot(_ware("flask", flask), _ware("pipette", aliquot))
                yield flask, aliquot, part


def _plan(
    sample: float,
    weighed: bool,
    flask: float,
    aliquot: float,
    titre: float,
    burette: Piece,
    *parts: float,
) -> SamplePlan:
    own = burette.u / titre if titre > 0.0 else math.inf
    ware = math.sqrt(math.fsum(p * p for p in (own, *parts)))
    return SamplePlan(
        sample, weighed, flask, aliquot, (titre, titre, titre), burette.nominal, ware, 0.0, ()
    )


def _ware(kind: str, size: float) -> float:
    """Relative standard uncertainty of a class A piece, ISO."""
    for piece in load_glassware():
        same = abs(piece.nominal - size) < 1e-9 * 1e-3
        if piece.kind == kind and same and piece.grade == "A" and piece.standard == "ISO":
            return piece.u / size
    raise LookupError(f"no {kind} of {size} m3")


def _misses(plan: SamplePlan) -> float:
    """How far the titre is outside 60 to 90 %; a weight too small to weigh counts as well."""
    part = plan.titre[1] / plan.burette
    light = max(0.0, 1.0 - plan.sample / LIGHT) if plan.weighed else 0.0
    return max(LEAST - part, part - MOST, 0.0) + light


def _spread(plan: SamplePlan, wide: float) -> tuple[float, float, float]:
    titre = plan.titre[1]
    return titre * max(1.0 - wide, 0.0), titre, titre * (1.0 + wide)


def _doubts(plan: SamplePlan, wide: float) -> tuple[Problem, ...]:
    low, middle, high = (t / plan.burette for t in _spread(plan, wide))
    if not LEAST <= middle <= MOST:
        message = f"No usual sample brings the titre into the burette's best part ({middle:.0%})."
        hint = "Use a titrant of another strength."
        return (Problem("assay.plan", message, (), hint, Severity.WARNING),)
    if high > 1.0 or low < 0.3:
        message = "The strength is so uncertain that the titre may miss the burette; try one first."
        return (Problem("assay.plan", message, severity=Severity.WARNING),)
    return ()


def _words(plan: SamplePlan, back: bool) -> tuple[str, ...]:
    grams = f"weigh about {plan.sample * 1e3:.3g} g"
    took = grams if plan.weighed else f"pipette {_ml(plan.sample)}"
    if not plan.flask:
        first = f"For each titration {took} of the material into the flask with some water."
    else:
        first = (
            f"{took[0].upper()}{took[1:]} of the material into a {_ml(plan.flask)} flask "
            f"half full of water, make up, and take {_ml(plan.aliquot)} of that for each titration."
        )
    part = plan.titre[1] / plan.burette
    second = f"The titre will be about {plan.titre[1] * 1e6:.1f} mL, {part:.0%} of the burette."
    if back:
        second = (
            f"It will use up about {plan.titre[1] * 1e6:.1f} mL of the reagent: add about "
            f"{plan.titre[1] * 1.4e6:.0f} mL of it, measured exactly."
        )
    third = f"Ware alone leaves ± {165 * plan.ware:.2g} % (90 %, class A)."
    return (first, second, third)


def _ml(volume: float) -> str:
    return f"{volume * 1e6:g} mL"
