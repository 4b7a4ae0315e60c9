"""Eight runs for seven factors: orthogonal, and a made-up truth comes back."""

from __future__ import annotations

import math

import numpy as np
import pytest

from account.test_advise import SHEET
from firstcrop.account.designed import Factor, effects, factor, levels, planned
from firstcrop.problems import Problem
from firstcrop.sheet.read import read_sheet
from firstcrop.sheet.turnables import turnables

NAMES = ("time", "water", "cold")


def chosen() -> tuple[Factor, ...]:
    found = (
        factor(SHEET, "time step 3", 30.0, 90.0),
        factor(SHEET, "amount of water", 50.0, 70.0),
        factor(SHEET, "brought to step 3", 5.0, 15.0),
    )
    assert all(isinstance(f, Factor) for f in found), found
    return found  # type: ignore[return-value]


def test_the_design_is_balanced_and_orthogonal():
    table = levels()
    assert table.shape == (8, 7)
    assert set(table.ravel()) == {-1, 1}
    assert (table.sum(axis=0) == 0).all()
    assert np.array_equal(table.T @ table, 8 * np.eye(7, dtype=int))
    assert len({tuple(row) for row in table}) == 8


def test_the_sheets_say_their_levels_and_read_as_sheets():
    runs = planned(SHEET, chosen())
    assert not isinstance(runs, Problem)
    assert len(runs) == 8
    for run in runs:
        reading = read_sheet(run.text)
        assert not reading.problems
        now = {(t.label, t.where): t.value for t in turnables(reading.preparation)}
        for f, sign in zip(chosen(), run.levels, strict=True):
            assert now[f.turned.label, f.turned.where] == (f.high if sign > 0 else f.low)
        assert f"Run {run.number} of 8" in run.text


def test_a_synthetic_truth_is_recovered():
    rng = np.random.default_rng(7)
    true, table = np.array([2.0, -5.0, 0.5]), levels()[:, :3]
    misses = []
    for _ in range(200):
        results = 80.0 + table @ true / 2.0 + rng.normal(0.0, 1.0, 8)
        found = effects(NAMES, table.tolist(), results.tolist())
        assert not isinstance(found, Problem)
        misses += [(e.effect - true[NAMES.index(e.factor)]) / e.error for e in found]
    # the error rests on four spare columns: Student's t, 4 degrees, 90 % within 2.132
    assert np.mean(np.abs(misses) < 2.132) == pytest.approx(0.90, abs=0.03)


def test_without_chance_the_effects_are_exact_and_the_largest_is_first():
    table = levels()[:, :3]
    found = effects(NAMES, table.tolist(), (80.0 + table @ np.array([1.0, -2.5, 0.25])).tolist())
    assert not isinstance(found, Problem)
    assert [e.factor for e in found] == ["water", "time", "cold"]
    assert [e.effect for e in found] == pytest.approx([-5.0, 2.0, 0.5])
    assert found[0].error == pytest.approx(0.0, abs=1e-12)


def test_seven_factors_leave_no_column_for_chance():
    found = effects("abcdefg", levels().tolist(), [float(i) for i in range(8)])
    assert not isinstance(found, Problem)
    assert all(math.isnan(e.error) for e in found)


def test_mistakes():
    one = chosen()[0]
    for wrong in (
        factor(SHEET, "nothing", 1.0, 2.0),
        factor(SHEET, "brought to", 1.0, 2.0),
        factor(SHEET, "time step 3", 2.0, 1.0),
        planned(SHEET, ()),
        planned(SHEET, (one, one)),
        effects(NAMES, levels()[:, :3].tolist(), [1.0] * 7),
        effects(NAMES, (-levels()[:, :3]).tolist(), [1.0] * 8),
    ):
        assert isinstance(wrong, Problem)
