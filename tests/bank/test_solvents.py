"""Every row of the tables of solvents: known keys, sources, sensible values."""

from __future__ import annotations

from firstcrop.bank.bank import load_bank
from firstcrop.bank.solvents import load_layers, load_mixed, load_solvents, load_typical
from firstcrop.bank.tables import read_sources

BANK, SOURCES = load_bank(), read_sources()


def test_every_solvent_is_a_neutral_component_with_constants() -> None:
    for key, solvent in load_solvents().items():
        assert BANK.components[key].charge == 0
        assert 700.0 < solvent.density.value < 1300.0
        assert solvent.own > solvent.water > 0.0
        assert solvent.density.source in SOURCES
        assert {row.charge for row in load_typical()[key]} == {1.0, 1.6, 2.5}


def test_every_published_mixture_dissolves_less_than_the_one_before() -> None:
    assert len(load_mixed()) >= 9
    for (solid, solvent), points in load_mixed().items():
        assert solid in BANK.solids
        assert solvent in load_solvents()
        assert len({p.point.temperature for p in points}) == 1
        values = [p.point.value for p in points]
        assert values == sorted(values, reverse=True), solid
        assert all(0.0 < p.w < 1.0 and p.point.source in SOURCES for p in points)


def test_every_usual_fall_has_bounds_around_it() -> None:
    for rows in load_typical().values():
        for row in rows:
            assert 0.0 < row.low < row.sigma.value < row.high
            assert row.sigma.source in SOURCES


def test_every_pair_that_parts_the_liquid_is_of_the_bank() -> None:
    for solvent, rows in load_layers().items():
        assert solvent in load_solvents()
        for row in rows:
            assert BANK.components[row.cation].charge > 0 > BANK.components[row.anion].charge
            assert row.source in SOURCES
