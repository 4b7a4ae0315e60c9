"""Every row of the electrolyte parameters, and the activities that come of them."""

from __future__ import annotations

import math

import pytest

from firstcrop.bank.bank import load_bank

BANK = load_bank()
PITZER = BANK.pitzer
SOLUTES = {**{k: c.charge for k, c in BANK.components.items()}}
SOLUTES |= {k: s.charge for k, s in BANK.species.items()}


@pytest.mark.parametrize("fit", PITZER.electrolytes.values(), ids=lambda f: f.cation + f.anion)
def test_a_fit_names_ions_of_the_bank_and_its_source(fit):
    assert SOLUTES[fit.cation] > 0 > SOLUTES[fit.anion]
    assert fit.source in BANK.sources
    assert not fit.slope_source or fit.slope_source in BANK.sources
    assert fit.reason, "say why this row was chosen"


@pytest.mark.parametrize("fit", PITZER.electrolytes.values(), ids=lambda f: f.cation + f.anion)
def test_parameters_are_of_the_usual_size(fit):
    """Kim & Frederick 1988 and Pitzer 1991: none of the single salts leaves these bounds."""
    assert -0.7 < fit.beta[0] < 1.1
    assert -2.0 < fit.beta[1] < 25.0
    assert fit.beta[2] <= 0.0
    assert -0.25 < fit.cphi < 0.1
    assert fit.beta[2] == 0.0 or (abs(SOLUTES[fit.cation]) > 1 and abs(SOLUTES[fit.anion]) >= 1)


@pytest.mark.parametrize("row", PITZER.mixing, ids=lambda m: " ".join((m.kind, *m.solutes)))
def test_mixing_terms_join_the_right_kinds(row):
    signs = [math.copysign(1, SOLUTES[s]) if SOLUTES[s] else 0 for s in row.solutes]
    expected = {
        "theta": signs[0] == signs[1] != 0,
        "psi": len(signs) == 3 and signs[0] == signs[1] == -signs[-1] != 0,
        "lambda": signs[0] == 0,
        "zeta": signs == [0, 1, -1],
    }
    assert expected[row.kind]
    assert row.source in BANK.sources


def test_no_mixing_term_is_given_twice():
    keys = [(m.kind, frozenset(m.solutes), m.solutes[-1]) for m in PITZER.mixing]
    assert len(keys) == len(set(keys))


def test_a_stand_in_has_the_same_charge():
    for ion, other in PITZER.stand_in.items():
        assert SOLUTES[ion] == SOLUTES[other], ion


def test_every_charge_type_has_usual_parameters():
    assert {(c, a) for c in range(1, 5) for a in range(1, 5)} == set(PITZER.typical)
