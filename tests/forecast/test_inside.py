"""What stood in the vessel at the start, the hottest and the end of a step."""

from __future__ import annotations

from pathlib import Path

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.forecast.pipeline import forecast

BANK = load_bank()
SHEET = Path(__file__).parents[2] / "sheets" / "hardening-alum.md"


def test_every_vessel_step_tells_its_inside_in_order_of_time() -> None:
    told = forecast(SHEET.read_text(encoding="utf-8"), BANK, with_bands=False)
    for step in told.steps:
        if not step.vessel:
            assert step.inside == ()
            continue
        times = [inside.time for inside in step.inside]
        assert times == sorted(times)
        last = step.inside[-1]
        assert last.temperature == pytest.approx(step.end.temperature)
        assert last.heat_capacity > 0.0
        assert all(amount > 0.0 for _, amount in last.dry.items)
        assert last.liquor_mass <= step.end.mass + 1e-9


def test_a_slow_reaction_waits_and_is_counted_by_its_limiting_reagent() -> None:
    """Two aluminium atoms a reaction: what is pending is half of what is left of the metal."""
    told = forecast(SHEET.read_text(encoding="utf-8"), BANK, with_bands=False)
    step = next(s for s in told.steps if any(i.pending for i in s.inside))
    last = step.inside[-1]
    pending = last.pending[0]
    assert pending.amount == pytest.approx(last.dry.get("aluminium") / 2.0)
    assert pending.heat > 0.0
    assert pending.rate > 0.0
    # doubling every 10 K at this temperature: E = R T^2 ln 2 / 10 K
    wanted = 8.31446 * last.temperature**2 * 0.693147 / 10.0
    assert pending.activation == pytest.approx(wanted, rel=1e-4)
    after = told.steps[step.number].inside[-1].pending  # held hot for 20 min more
    assert sum(p.amount for p in after) < 0.01 * pending.amount
