"""An edit recomputed from the step it changed gives what a fresh forecast gives."""

from __future__ import annotations

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.forecast.memory import Memory
from firstcrop.forecast.pipeline import forecast
from firstcrop.forecast.records import Forecast
from sample_sheets import ALUM


def numbers(f: Forecast) -> list[float]:
    found = [n for s in f.steps[:8] for n in (s.peak_temperature.value, s.end_ph.value)]
    found += [s.peak_temperature.low for s in f.steps[:8]]
    found += [c.dry_mass.value for c in f.crops] + [c.dry_mass.high for c in f.crops]
    return found + [b.number.value for b in f.blanks]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("Wash with 15 mL of wash at 4 °C.", "Wash with 10 mL of wash at 4 °C."),
        ("Cool to 4 °C", "Cool to 8 °C"),
        ("9. Dry in air.", "9. Dry in air.\n10. Boil down the mother liquor to 60 mL."),
        ("Add 2.7 g of ring-pulls over 20 min.", "Add 2.5 g of ring-pulls over 30 min."),
        ("97 ± 1 % w/w", "90 ± 1 % w/w"),
    ],
)
def test_an_edit_is_as_a_fresh_forecast(old, new):
    bank, memory = load_bank(), Memory()
    forecast(ALUM, bank, memory=memory)
    edited = ALUM.replace(old, new)
    assert edited != ALUM
    warm = forecast(edited, bank, memory=memory)
    cold = forecast(edited, bank)
    assert numbers(warm) == pytest.approx(numbers(cold), rel=2e-6, nan_ok=True)
    assert [p.message for p in warm.problems] == [p.message for p in cold.problems]
    assert max(abs(b.gap) for b in warm.balances) < 1e-9
