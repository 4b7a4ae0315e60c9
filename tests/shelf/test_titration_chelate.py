"""EDTA beside the bank: its constants, and that the bank itself stays as it was."""

from __future__ import annotations

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.bank.tables import read_sources, read_table
from firstcrop.forecast.assemble import assemble_without_solids
from firstcrop.liquor.solve import equilibrate
from firstcrop.shelf.assay_methods import load_counted
from firstcrop.shelf.titration_chelate import DISODIUM, EDTA, bank_with_edta, buffer, chelated


def test_the_bank_itself_knows_no_edta():
    bank = load_bank()
    assert EDTA not in bank.components
    assert EDTA in bank_with_edta(bank).components
    assert bank_with_edta(bank) is bank_with_edta(bank)


def test_every_complex_is_charged_as_its_parts():
    bank = bank_with_edta(load_bank())
    sources = read_sources()
    for row in read_table("chelate_species"):
        charge = sum(bank.components[k].charge * n for k, n in row.stoichiometry("components"))
        assert charge == int(row.text("charge")), row.text("key")
        assert row.text("log_k_source") in sources


def test_every_metal_that_is_counted_has_its_complex():
    bank = load_bank()
    for row in load_counted():
        if row.method == "complexometry":
            found = chelated(row, bank.substances[row.substance].components)
            assert found is not None, row.substance
            assert found.ion.endswith("+2")
            charge = sum(bank.components[k].charge * n for k, n in found.sample)
            assert charge == 0


def test_the_buffer_keeps_the_flask_near_ph_10():
    bank = bank_with_edta(load_bank())
    parts = (*buffer(1e-4), (DISODIUM, 1e-3))
    keys = frozenset(k for components, _ in parts for k, _ in components)
    system = assemble_without_solids(bank, keys).system
    import numpy as np

    amounts = np.zeros(len(system.components))
    amounts[0] = 1e-4 * 997.0 / 18.015e-3
    for components, moles in parts:
        for key, count in components:
            amounts[system.components.index(key)] += count * moles
    state = equilibrate(system, amounts, 298.15, 1e9)
    assert state.ok
    assert state.ph == pytest.approx(10.0, abs=0.4)
