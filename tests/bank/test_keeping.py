"""Tables of how things keep: every substance is in the bank, every rule exists, ranges are sane."""

from __future__ import annotations

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.bank.keeping import load_damp, load_keeping
from firstcrop.bank.practice import load_practice
from firstcrop.shelf.ageing_rules import RULES

# relative humidity at 25 °C as the same table prints it, %
PRINTED = {
    "sodium hydroxide": 6, "potassium hydroxide": 9, "calcium chloride hexahydrate": 29,
    "magnesium chloride hexahydrate": 33, "magnesium nitrate hexahydrate": 53,
    "sodium chloride": 75, "ammonium sulfate": 81, "potassium chloride": 84,
    "potassium nitrate": 92, "potassium sulfate": 97,
}  # fmt: skip


def test_every_row_is_about_a_substance_of_the_bank():
    bank = load_bank()
    assert set(load_keeping()) | set(load_damp()) <= set(bank.substances)


def test_every_rule_is_one_there_is_and_a_number_has_its_source():
    bank = load_bank()
    for row in load_keeping().values():
        assert row.rule in (*RULES, "keeps", "unknown"), row.substance
        assert row.source in bank.sources or row.rule == "unknown", row.substance
        assert row.note or row.rule != "unknown", row.substance
    for damp in load_damp().values():
        assert damp.source in bank.sources


@pytest.mark.parametrize("substance", PRINTED)
def test_the_humidity_over_a_saturated_solution_is_as_printed(substance):
    """Constant humidity solutions, CRC Handbook section 15: to the printed per cent (1 for A and
    B as rounded there)."""
    found = load_damp()[substance].humidity(298.15) * 100.0
    assert found == pytest.approx(PRINTED[substance], abs=1.0)


def test_beyond_its_range_the_fit_stays_at_its_edge():
    row = load_damp()["potassium chloride"]
    assert row.humidity(400.0) == row.humidity(row.high)


def test_the_values_of_the_shelf_have_ends_on_both_sides():
    for row in load_practice("shelf").values():
        assert row.low <= row.value <= row.high, row.key
