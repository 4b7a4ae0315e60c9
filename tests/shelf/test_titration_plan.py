"""What sample to take: the titre lands in the burette's best part, and the assay agrees."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firstcrop.bank.bank import load_bank
from firstcrop.problems import Problem
from firstcrop.quantity.read import read_strength
from firstcrop.quantity.records import Basis, Strength
from firstcrop.shelf.assay import assay
from firstcrop.shelf.assay_readings import read_readings
from firstcrop.shelf.assay_records import Assay
from firstcrop.shelf.glassware import find_piece
from firstcrop.shelf.titration_plan import plan_sample
from firstcrop.shelf.titration_records import SamplePlan

BURETTE = find_piece("burette 50 mL A")[0]


def _plan(method, substance, strength, titrant=100.0, **more):
    read = read_strength(strength)
    assert isinstance(read, Strength)
    return plan_sample(method, substance, read, titrant, BURETTE, load_bank(), **more)


def test_the_assay_of_the_plan_gives_the_strength_back():
    """Done as planned, with the titre planned, the assay finds the strength it was planned for."""
    plan = _plan("iodometry", "sodium hypochlorite", "45 g/L")
    assert isinstance(plan, SamplePlan)
    ml = 1e6
    text = "\n".join(
        (
            "method\tiodometry", "substance\tsodium hypochlorite", "in\tg/L",
            f"sample\t{plan.sample * ml:g} mL\tpipette {plan.sample * ml:g} mL A",
            f"made up to\t{plan.flask * ml:g} mL\tflask {plan.flask * ml:g} mL A",
            f"aliquot\t{plan.aliquot * ml:g} mL\tpipette {plan.aliquot * ml:g} mL A",
            f"titre\t{plan.titre[1] * ml:.4f} mL\tburette 50 mL A",
            "titrant\t0.10000 ± 0.00001 mol/L", "temperature\t20 °C\tlimits 0.1 °C",
        )
    )  # fmt: skip
    found = assay("", read_readings(text), load_bank())
    assert isinstance(found, Assay)
    assert found.value == pytest.approx(45.0, rel=1e-4)
    kinds = ("burette", "pipette", "flask")
    ware = [r for r in found.measured.rows if r.input.name.endswith(kinds)]
    part = sum(r.contribution**2 for r in ware) ** 0.5 / found.value
    assert part == pytest.approx(plan.ware, rel=0.02)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.05, 17.0), st.sampled_from([20.0, 100.0, 500.0]))
def test_the_titre_is_60_to_90_per_cent_of_the_burette_or_it_says_so(molar, titrant):
    strength = Strength(molar * 1e3, Basis.MOLARITY)
    plan = plan_sample("acid by alkali", "acetic acid", strength, titrant, BURETTE, load_bank())
    assert isinstance(plan, SamplePlan)
    part = plan.titre[1] / plan.burette
    assert plan.problems or 0.6 <= part <= 0.9
    assert plan.amount == pytest.approx(plan.titre[1] * titrant)


def test_a_solid_is_weighed_heavily_enough():
    plan = _plan("alkali by acid", "sodium carbonate", "98 ± 2 % w/w", solid=True)
    assert isinstance(plan, SamplePlan)
    assert plan.weighed
    assert plan.sample >= 2e-4
    if not plan.flask:
        assert plan.sample == pytest.approx(0.75 * 50e-6 * 100.0 / 2 * 105.99e-3 / 0.98, rel=1e-3)
    fine = _plan("permanganate", "oxalic acid dihydrate", "99 % w/w", 2.0, solid=True)
    assert isinstance(fine, SamplePlan)
    assert fine.flask > 0.0
    assert fine.sample >= 2e-4


def test_percent_by_mass_takes_the_density_of_the_bank_or_the_one_said():
    own = _plan("acid by alkali", "sulfuric acid", "30 % w/w")
    said = _plan("acid by alkali", "sulfuric acid", "30 % w/w", density=1218.5)
    assert isinstance(own, SamplePlan)
    assert isinstance(said, SamplePlan)
    assert own.titre[1] == pytest.approx(said.titre[1], rel=2e-3)


def test_a_wide_claim_widens_the_titre():
    plan = _plan("acid by alkali", "acetic acid", "0.8 ± 0.5 mol/L")
    assert isinstance(plan, SamplePlan)
    low, middle, high = plan.titre
    assert (low / middle, high / middle) == pytest.approx((0.375, 1.625))
    assert [p.code for p in plan.problems] == ["assay.plan"]


def test_a_back_titration_says_how_much_to_add():
    plan = _plan("complexometry by back titration", "potassium alum", "99 % w/w", 50.0, solid=True)
    assert isinstance(plan, SamplePlan)
    assert "use up" in plan.words[1]


@pytest.mark.parametrize(
    ("method", "substance", "strength", "more"),
    [
        ("tasting", "acetic acid", "5 % w/w", {}),
        ("acid by alkali", "sodium chloride", "5 % w/w", {}),
        ("iodometry", "sodium hypochlorite", "4 % w/w", {}),  # no densities in the bank
        ("acid by alkali", "acetic acid", "5 mol/L", {"solid": True}),
        ("acid by alkali", "acetic acid", "density 1.01 g/mL", {}),
    ],
)
def test_what_cannot_be_planned_is_said(method, substance, strength, more):
    found = _plan(method, substance, strength, **more)
    assert isinstance(found, Problem)
    assert found.code.startswith("assay.")
