"""Lessons go into the sheet's own cells, and are read there again."""

from __future__ import annotations

import pytest

from firstcrop.account.records import Lesson
from firstcrop.account.study import study
from firstcrop.account.use import rounded, used, with_condition
from firstcrop.bank.bank import load_bank
from firstcrop.problems import Problem
from firstcrop.sheet.read import read_sheet
from sample_sheets import ALUM

ACID = Lesson("strength:dilute acid", "strength of dilute acid", "fraction", (0.30, 0.29, 0.31),
              (0.32712, 0.32312, 0.33112))  # fmt: skip
METAL = Lesson("strength:ring-pulls", "strength of ring-pulls", "fraction", (0.97, 0.96, 0.98),
               (0.955, 0.95, 0.96))  # fmt: skip
VAGUE = Lesson("strength:wash", "strength of wash", "fraction", (0.5, 0.48, 0.52),
               (0.5, 0.481, 0.519))  # fmt: skip
GLASS = Lesson("practice:exchange_factor", "heat", "1", (1.0, 0.5, 2.0), (0.46, 0.40, 0.52))
LOSS = Lesson("practice:filter_loss", "part of a crop lost", "1", (0.02, 0.005, 0.05),
              (0.06, 0.05, 0.07))  # fmt: skip


def test_strengths_go_into_their_cells_and_nothing_else_changes():
    found = used(ALUM, (ACID, METAL, VAGUE, LOSS))
    assert "| sulfuric acid | 32.71 ± 0.4 % w/w |" in found.text
    assert "| aluminium | 95.5 ± 0.5 % w/w |" in found.text
    assert len(found.written) == 2
    assert found.only_told == ("part of a crop lost",)
    new, old = found.text.split("\n"), ALUM.split("\n")
    assert sum(a != b for a, b in zip(new, old, strict=True)) == 2
    after = {m.name: m.strength for m in read_sheet(found.text).preparation.materials}
    acid = next(s for name, s in after.items() if name == "dilute acid")
    assert acid is not None
    assert (acid.value, acid.band) == (pytest.approx(0.3271), pytest.approx(0.004))


def test_what_the_rest_is_stays():
    text = ALUM.replace("97 ± 1 % w/w", "97 ± 1 % w/w, rest inert")
    assert "95.5 ± 0.5 % w/w, rest inert" in used(text, (METAL,)).text


def test_heat_exchange_becomes_a_condition_the_forecast_stands_on():
    found = used(ALUM, (GLASS,))
    sheet = read_sheet(found.text)
    assert not sheet.problems
    (setting,) = sheet.preparation.conditions
    assert setting.quantity is not None
    assert (setting.quantity.value, setting.quantity.band) == pytest.approx((0.46, 0.06))
    told = study(found.text, load_bank())
    assert not isinstance(told, Problem)
    knob = told.base.knobs["condition:heat exchange"]
    assert (knob.value, knob.low, knob.high) == pytest.approx((0.46, 0.40, 0.52))
    assert "practice:exchange_factor" not in told.base.knobs


def test_a_condition_is_put_in_once():
    lines = ("# A", "", "## Conditions", "", "- room: 21 °C", "", "## Steps", "1. Put")
    once = with_condition(lines, "heat exchange", "heat exchange: 46 ± 6 %")
    assert once[4:7] == ("- room: 21 °C", "- heat exchange: 46 ± 6 %", "")
    again = with_condition(once, "heat exchange", "heat exchange: 50 ± 5 %")
    assert again[5] == "- heat exchange: 50 ± 5 %"
    assert len(again) == len(once)


def test_figures_are_those_of_the_band():
    assert rounded(ACID) == (0.3271, 0.004)
    assert rounded(GLASS) == (0.46, 0.06)
