"""Bottles side by side, the matrix as printed, the limits as published."""

from __future__ import annotations

import pytest

from firstcrop.bank.air import air_limits, danger_limit
from firstcrop.bank.matrix import epa_matrix
from firstcrop.bank.mixing import load_gas_hazards
from firstcrop.forecast.records import Bottle
from firstcrop.problems import Problem, Severity
from firstcrop.quantity.read import read_strength
from firstcrop.run import shelf_neighbours

from .sheets import BANK


def bottle(key: str, substance: str, strength: str = "") -> Bottle:
    read = read_strength(strength) if strength else None
    assert not isinstance(read, Problem)
    return Bottle(key, substance, read)


BLEACH = bottle("bleach", "sodium hypochlorite", "4 % w/w")
ACETONE = bottle("acetone", "acetone")
MURIATIC = bottle("muriatic", "hydrogen chloride", "31 % w/w")
VITRIOL = bottle("vitriol", "sulfuric acid", "96 % w/w")
NITRIC = bottle("nitric", "nitric acid", "60 % w/w")
APART = (
    (BLEACH, MURIATIC, Severity.ERROR),
    (BLEACH, bottle("ammonia", "ammonia", "10 % w/w"), Severity.ERROR),
    (NITRIC, ACETONE, Severity.ERROR),
    (bottle("peroxide", "hydrogen peroxide", "30 % w/w"), ACETONE, Severity.ERROR),
    (bottle("sulfide", "sodium sulfide nonahydrate"), MURIATIC, Severity.ERROR),
    (bottle("meta", "sodium metabisulfite"), VITRIOL, Severity.ERROR),
    (bottle("unknown strength", "nitric acid"), bottle("spirit", "ethanol"), Severity.ERROR),
    (VITRIOL, bottle("toluene", "toluene"), Severity.WARNING),
)


@pytest.mark.parametrize(("one", "other", "severity"), APART)
def test_they_should_not_stand_together(one: Bottle, other: Bottle, severity: Severity) -> None:
    for pair in ((one, other), (other, one)):
        found = shelf_neighbours(pair, BANK)
        assert len(found) == 1
        assert found[0].severity is severity
        assert one.key in found[0].message.lower()
        assert other.key in found[0].message.lower()


TOGETHER = (
    (BLEACH, bottle("salt", "sodium chloride")),
    (bottle("alum", "potassium alum"), bottle("salt", "sodium chloride")),
    (bottle("vinegar", "acetic acid", "5 % w/w"), bottle("citric", "citric acid")),
    (bottle("weak nitric", "nitric acid", "5 % w/w"), bottle("spirit", "ethanol")),
    (BLEACH, BLEACH),
)


@pytest.mark.parametrize(("one", "other"), TOGETHER)
def test_they_may_stand_together(one: Bottle, other: Bottle) -> None:
    assert shelf_neighbours((one, other), BANK) == ()


# cells of EPA-600/2-80-076 as printed
CELLS = (
    ((1, 11), {"GT", "GF"}),
    ((2, 3), {"H", "G"}),
    ((2, 4), {"H", "F"}),
    ((1, 15), {"GT"}),
    ((2, 16), {"H", "F"}),
    ((2, 19), {"H", "F"}),
    ((10, 22), {"H", "GF"}),
    ((1, 22), {"H", "F", "GF"}),
    ((10, 13), {"H"}),
    ((3, 10), {"H"}),
)


@pytest.mark.parametrize(("pair", "codes"), CELLS)
def test_cells_of_the_matrix(pair: tuple[int, int], codes: set[str]) -> None:
    assert set(epa_matrix()[pair].codes) == codes


# NIOSH IDLH values, ppm; lower flammable limits, volume fraction (IEC 60079-20-1)
IDLH = (("NH3", 300), ("Cl2", 10), ("SO2", 100), ("H2S", 100), ("CO", 1200), ("HCl", 50),
        ("HCN", 50), ("HF", 30), ("Br2", 3), ("CH3OH", 6000))  # fmt: skip
LFL = (("H2", 0.04), ("H2S", 0.04), ("CO", 0.109), ("NH3", 0.15), ("C2H5OH", 0.031),
       ("C3H6O", 0.025), ("CH3OH", 0.06))  # fmt: skip


@pytest.mark.parametrize(("gas", "ppm"), IDLH)
def test_what_is_dangerous_to_life(gas: str, ppm: float) -> None:
    limit = danger_limit(gas)
    assert limit is not None
    assert limit.ppm == ppm


@pytest.mark.parametrize(("gas", "share"), LFL)
def test_what_burns(gas: str, share: float) -> None:
    assert load_gas_hazards()[gas].lfl == share


def test_every_limit_is_of_a_known_gas() -> None:
    assert set(air_limits()) <= set(load_gas_hazards())
