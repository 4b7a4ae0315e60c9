"""Yields on every basis there is evidence for, and what is odd about them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from firstcrop.account.hydrate import dry_part
from firstcrop.account.numbers import measured, ratio, scaled, total
from firstcrop.account.records import DryingLoss, Dryness, Purity, Weighing, Yield
from firstcrop.bank.bank import Bank
from firstcrop.forecast.records import Number
from firstcrop.problems import Problem, Severity

AS_WEIGHED = "as weighed"
AS_WET = "as weighed, still wet"
BY_DRYING = "counted as the hydrate, by a drying test"
BY_ASSAY = "counted as target, by its assay"


def last_weighings(weighings: Iterable[Weighing]) -> tuple[Weighing, ...]:
    """One a crop: the last dry one, else the last."""
    best: dict[int, Weighing] = {}
    for weighing in weighings:
        kept = best.get(weighing.crop)
        if kept is None or weighing.dryness is Dryness.DRY or kept.dryness is not Dryness.DRY:
            best[weighing.crop] = weighing
    return tuple(best[n] for n in sorted(best))


def crop_masses(
    bank: Bank,
    target: str,
    weighings: tuple[Weighing, ...],
    losses: tuple[DryingLoss, ...],
    purities: tuple[Purity, ...],
) -> tuple[tuple[int, str, Number], ...]:
    """(crop, basis, kg of target): each crop as weighed, and corrected where a test allows it."""
    found: list[tuple[int, str, Number]] = []
    for weighing in last_weighings(weighings):
        wet = weighing.dryness is Dryness.WET
        mass = measured(weighing.mass, weighing.band, "kg")
        found.append((weighing.crop, AS_WET if wet else AS_WEIGHED, mass))
        for basis, part in _corrections(bank, target, weighing, losses, purities):
            if math.isfinite(part.value):
                labels = ("crop as weighed", "target in it")
                found.append((weighing.crop, basis, scaled(mass, part, "kg", labels)))
    return tuple(found)


def _corrections(
    bank: Bank,
    target: str,
    weighing: Weighing,
    losses: tuple[DryingLoss, ...],
    purities: tuple[Purity, ...],
) -> Iterator[tuple[str, Number]]:
    for loss in losses:
        if loss.crop == weighing.crop:
            yield BY_DRYING, dry_part(bank, loss, target)
    for purity in purities:
        if purity.crop == weighing.crop:
            yield BY_ASSAY, measured(purity.fraction, purity.band, "1")


def best_masses(masses: tuple[tuple[int, str, Number], ...]) -> dict[int, tuple[str, Number]]:
    """The mass of each crop that says most about the target: assay, drying test, as weighed."""
    rank = (AS_WET, AS_WEIGHED, BY_DRYING, BY_ASSAY)
    best: dict[int, tuple[str, Number]] = {}
    for crop, basis, mass in masses:
        if crop not in best or rank.index(basis) > rank.index(best[crop][0]):
            best[crop] = (basis, mass)
    return best


def yields(masses: tuple[tuple[int, str, Number], ...], theory: Number | None) -> tuple[Yield, ...]:
    """Each crop on each basis, and all crops together on their best one."""
    if theory is None:
        return ()
    labels = ("target weighed", "theory")
    found = [
        Yield(crop, basis, ratio(mass, theory, "1", labels), mass) for crop, basis, mass in masses
    ]
    best = best_masses(masses)
    if len(best) > 1:
        mass = total(((f"crop {n}", 1.0, m) for n, (_, m) in best.items()), "kg")
        bases = sorted({basis for basis, _ in best.values()})
        found.append(Yield(0, "; ".join(bases), ratio(mass, theory, "1", labels), mass))
    return tuple(found)


def verdicts(
    masses: tuple[tuple[int, str, Number], ...], theory: Number | None
) -> tuple[Problem, ...]:
    """What a chemist should be told about these figures before believing them."""
    found: list[Problem] = []
    best = best_masses(masses)
    whole = math.fsum(mass.value for _, mass in best.values())
    if theory is not None and whole > theory.value:
        found.append(_above_theory(whole, theory))
    for crop, (basis, _) in best.items():
        if basis == AS_WET:
            found.append(
                Problem(
                    "account.wet",
                    f"crop {crop} was weighed wet: its yield counts the liquor it holds",
                    hint="Dry it to constant mass: two weighings that agree",
                    severity=Severity.WARNING,
                )
            )
    return tuple(found)


def _above_theory(whole: float, theory: Number) -> Problem:
    """More than theory is not a yield: at least the rest is something else."""
    least = (whole - theory.value) * 1e3
    sure = whole > theory.high
    message = (
        f"{100 * whole / theory.value:.1f} % of theory: at least {least:.2g} g of this is not "
        "product but water, salt or dirt"
    )
    if not sure:
        message += ", unless the theory is short: its band reaches as far"
    hint = "Dry to constant mass and weigh again; then test what it is"
    return Problem("account.above theory", message, hint=hint, severity=Severity.WARNING)
