"""Where the target went: crops as weighed, the rest as forecast, and what nobody can place."""

from __future__ import annotations

import math

from firstcrop.account.numbers import total
from firstcrop.account.records import Known, Share
from firstcrop.forecast.records import Forecast, Number
from firstcrop.problems import Problem, Severity

UNPLACED_SHARE = "not accounted for"


def shares(forecast: Forecast, best: dict[int, tuple[str, Number]]) -> tuple[Share, ...]:
    """Parts of theory that add up to it; a weighed crop, with the liquor dried on it, stands in
    place of its forecast. Bands are combined as if independent: forecast parts of one run are not
    quite, so the band of the difference is a guide."""
    theory = forecast.theory
    if theory is None or not forecast.fates:
        return ()
    found: list[Share] = []
    for crop, (_, mass) in sorted(best.items()):
        found.append(Share(f"crop {crop}", mass, Known.WEIGHED))
    for fate in forecast.fates:
        if not _weighed_instead(fate.where, best):
            found.append(Share(fate.where, fate.mass, Known.FORECAST))
    if best:
        parts = [("theory", 1.0, theory), *((s.where, -1.0, s.mass) for s in found)]
        found.append(Share(UNPLACED_SHARE, total(parts, "kg"), Known.DIFFERENCE))
    return tuple(found)


def _weighed_instead(where: str, best: dict[int, tuple[str, Number]]) -> bool:
    return any(where == f"crop {n}" or where.startswith(f"crop {n},") for n in best)


def rest_verdict(found: tuple[Share, ...]) -> Problem | None:
    """What it means when the difference is larger than the bands explain."""
    gap = next((s.mass for s in found if s.known is Known.DIFFERENCE), None)
    if gap is None or not math.isfinite(gap.value) or gap.low <= 0.0 <= gap.high:
        return None
    grams = abs(gap.value) * 1e3
    if gap.value > 0.0:
        message = f"{grams:.2g} g of target are missing beyond what the forecast explains"
        hint = (
            "Left on glass and paper, spilled, washed away warmer than written, a reaction that "
            "did not finish, or a bottle weaker than its label"
        )
    else:
        message = f"the crops weigh {grams:.2g} g more than the forecast leaves room for"
        hint = "Water or another salt in the crop, or a bottle stronger than its label"
    return Problem("account.gap", message, hint=hint, severity=Severity.WARNING)
