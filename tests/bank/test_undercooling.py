"""Every row of the table of undercoolings."""

from __future__ import annotations

from firstcrop.bank.bank import load_bank
from firstcrop.bank.tables import read_sources
from firstcrop.bank.undercooling import load_undercooling, undercooling_of


def test_rows_are_of_solids_and_in_order() -> None:
    bank, sources = load_bank(), read_sources()
    assert len(load_undercooling()) >= 20
    for solid, lag in load_undercooling().items():
        assert solid in bank.solids
        assert lag.source in sources
        assert 0.0 < lag.low < lag.bare < lag.high
        assert lag.seeded is None or lag.seeded < lag.high


def test_slow_starters_and_the_usual() -> None:
    assert undercooling_of("Na2SO4·10H2O").bare > undercooling_of("no such solid").bare
    assert undercooling_of("no such solid").seeded is None
