"""A slice of the sweep over random liquors; `make sweep` runs the whole of it."""

from __future__ import annotations

import numpy as np
import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.liquor.solve import equilibrate
from firstcrop.liquor.state import Outcome
from sample_sweep import CHECKS, liquors, lower_neighbour, sweep, system_of

LIQUORS_EACH = 250


@pytest.mark.parametrize("seed", range(1000, 1006))
def test_a_solved_liquor_balances_is_unique_and_lies_lowest(seed):
    tally = sweep(load_bank(), range(seed, seed + 1), LIQUORS_EACH)
    assert tally.examples == {}
    assert tally.liquors == LIQUORS_EACH
    assert tally.compared["another guess"] > 0.9 * LIQUORS_EACH
    assert tally.compared["Gibbs energy"] > 0.5 * LIQUORS_EACH
    assert tally.outcomes["NOT_CONVERGED"] <= 0.02 * LIQUORS_EACH
    assert set(tally.failed) <= set(CHECKS)


def test_a_neighbour_of_a_false_equilibrium_lies_lower():
    """The measure would see an error: an equilibrium of another temperature does not lie lowest."""
    system = system_of(load_bank(), 1000)
    moles, _ = next(iter(liquors(system, 1, 1)))
    warm = equilibrate(system, moles, 330.0)
    assert warm.ok
    false = type(warm)(**{**vars(warm), "temperature": 290.0})
    assert lower_neighbour(system, false, np.random.default_rng(0)) is True


def test_a_liquor_that_boils_away_says_so():
    """Aluminium acetate's dilute solution kept at 105 °C under the air's pressure."""
    system = system_of(load_bank(), 100)
    found = {equilibrate(system, m, t).outcome for m, t in liquors(system, 100, 200) if t > 378.0}
    assert Outcome.DRIED_UP in found
