"""What a run costs, what limits the next one, and what to buy."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence

from firstcrop.forecast.records import Forecast, Number
from firstcrop.shelf.ageing import practice
from firstcrop.shelf.bottles import fold
from firstcrop.shelf.records import Advice, Bottle, Cost, CostLine, Level
from firstcrop.shelf.sheets import Want, wants

FREE = ("water",)


def cost_of(forecast: Forecast, there: Iterable[Level], runs: int = 1) -> Cost:
    """The cost of one run from the bottles the sheet names, and what `runs` of them lack."""
    known = {level.bottle.name: level for level in there}
    wanted = wants(forecast, known.values())
    batches = {w.bottle: known[w.bottle].left / used for w, used in _by_bottle(wanted)}
    lines = [_line(w, known[w.bottle].bottle, batches[w.bottle]) for w in wanted]
    totals: dict[str, float] = defaultdict(float)
    for line in lines:
        if line.price is not None:
            totals[line.currency] += line.price
    limits = min(batches, key=lambda name: batches[name], default="")
    buy = tuple(
        (w.bottle, used * runs - known[w.bottle].left, w.unit)
        for w, used in _by_bottle(wanted)
        if used * runs > known[w.bottle].left
    )
    return Cost(
        (*lines, *_uncounted(forecast, wanted)), tuple(totals.items()), _product(forecast),
        math.floor(batches[limits] + 1e-9) if limits else math.inf, limits, buy, runs,
    )  # fmt: skip


def _by_bottle(wanted: Sequence[Want]) -> list[tuple[Want, float]]:
    """Each bottle once, with all that is taken from it."""
    sums: dict[str, float] = defaultdict(float)
    for want in wanted:
        sums[want.bottle] += want.amount
    first = {want.bottle: want for want in reversed(wanted)}
    return [(first[name], used) for name, used in sums.items() if used > 0.0]


def _line(want: Want, bottle: Bottle, batches: float) -> CostLine:
    price = None if bottle.price is None else bottle.price * want.amount / bottle.size
    why = "" if price is not None else "the bottle has no price"
    return CostLine(want.material, want.bottle, want.amount, want.unit, price, bottle.currency,
                    batches, why)  # fmt: skip


def _uncounted(forecast: Forecast, wanted: Sequence[Want]) -> tuple[CostLine, ...]:
    counted = {w.material.lower() for w in wanted}
    return tuple(
        CostLine(t.material, "", t.mass, "kg", None, "", math.inf, "no bottle is named")
        for t in forecast.taken
        if t.material not in counted and t.material not in FREE
    )


def _product(forecast: Forecast) -> float:
    """kg of dry target over all crops; of the last crop when none is the target."""
    target = [c for c in forecast.crops if math.isfinite(c.yield_fraction.value)]
    masses = [c.dry_mass.value for c in target or forecast.crops[-1:]]
    known = [m for m in masses if math.isfinite(m)]
    return math.fsum(known) if known else math.nan


def advice(forecast: Forecast) -> tuple[Advice, ...]:
    """For every bottle named: how far its spread moves the crops and the answers, and whether that
    spoils the batch. The forecast must have its bands."""
    found = []
    for material in forecast.preparation.materials:
        if not material.bottle:
            continue
        effects = [
            (name, *_moves(number, f"strength of {material.name}"))
            for name, number in _outcomes(forecast)
        ]
        worst = max(effects, key=lambda e: max(abs(e[1]), abs(e[2])), default=("", 0.0, 0.0))
        part = max(abs(worst[1]), abs(worst[2]))
        spoils = part > practice("spoils")[0]
        told = f"{worst[0]}: {_percent(min(worst[1:]))} to {_percent(max(worst[1:]))}"
        effect = told if part > 0.0 else "nothing that shows"
        found.append(Advice(material.name, fold(material.bottle), effect, part, spoils))
    return tuple(found)


def _outcomes(forecast: Forecast) -> list[tuple[str, Number]]:
    crops = [(f"crop {c.number} ({c.name})", c.dry_mass) for c in forecast.crops]
    blanks = [(f"answer of step {b.step} ({b.text})", b.number) for b in forecast.blanks]
    return [pair for pair in (*crops, *blanks) if pair[1].value]


def _moves(number: Number, label: str) -> tuple[float, float]:
    """Relative moves when the input goes to its ends."""
    for influence in number.influences:
        if influence.label == label and math.isfinite(number.value):
            return influence.down / number.value, influence.up / number.value
    return 0.0, 0.0


def _percent(part: float) -> str:
    return f"{part * 100:+.1f} %".replace("-", "−")
