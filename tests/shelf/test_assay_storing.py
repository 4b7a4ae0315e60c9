"""An assay as a bottle keeps it: the half-width survives few replicates."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.problems import Problem
from firstcrop.shelf import records
from firstcrop.shelf.assay import assay
from firstcrop.shelf.assay_readings import read_readings
from firstcrop.shelf.assay_records import Assay
from firstcrop.shelf.assay_storing import record_of

CASES = Path(__file__).parents[1] / "published" / "assays"


def _found(stem: str) -> Assay:
    text = (CASES / f"{stem}.md").read_text(encoding="utf-8")
    found = assay("", read_readings(text), load_bank())
    assert isinstance(found, Assay)
    return found


def test_the_half_width_of_few_replicates_is_kept():
    found = _found("silver-nitrate-by-salt")
    assert found.measured.freedom < 5
    record = record_of(found, "k", "2026-05-03T10:00", "the studio")
    assert isinstance(record, records.Assay)
    assert record.standard_uncertainty * records.HALF == pytest.approx(found.measured.half_width())
    assert record.standard_uncertainty > found.u
    assert (record.value, record.basis) == (found.value, "mol/L")
    assert json.loads(record.readings) == found.text
    assert len(json.loads(record.budget)) == len(found.measured.rows)


def test_a_melting_point_is_no_strength():
    problem = record_of(_found("naphthalene-melting"), "k", "2026-05-03", "the studio")
    assert isinstance(problem, Problem)
    assert problem.code == "assay.no-strength"
