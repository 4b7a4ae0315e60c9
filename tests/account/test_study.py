"""A study has every uncertain input at both of its bounds."""

from __future__ import annotations

from account.test_learn import saltpetre
from firstcrop.account.study import run_at, study
from firstcrop.bank.bank import load_bank
from firstcrop.forecast.measures import measures
from firstcrop.problems import Problem


def test_every_input_of_the_run_is_turned_and_the_crops_solubility_too():
    keys = {t.knob.key for t in saltpetre().turned}
    assert keys == {*saltpetre().base.knobs, "solubility:KNO3"}


def test_more_soluble_means_a_smaller_crop():
    turned = next(t for t in saltpetre().turned if t.knob.key == "solubility:KNO3")
    crop = {k: v for k, v in measures(saltpetre().ground, turned.up).items() if k[0] == "dry"}
    less = {k: v for k, v in measures(saltpetre().ground, turned.down).items() if k[0] == "dry"}
    assert all(crop[k] < less[k] for k in crop)


def test_a_run_at_rest_is_the_base():
    again = measures(saltpetre().ground, run_at(saltpetre().ground, saltpetre().base, {}))
    assert again == measures(saltpetre().ground, saltpetre().base)


def test_an_empty_sheet_is_a_problem():
    assert isinstance(study("# Nothing\n", load_bank()), Problem)
