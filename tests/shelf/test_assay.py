"""From readings to a strength: what the budget holds, what is flagged, what is refused."""

from __future__ import annotations

import json
import math

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.problems import Severity
from firstcrop.quantity.read import read_strength
from firstcrop.quantity.records import Basis
from firstcrop.shelf.assay import assay
from firstcrop.shelf.assay_readings import read_readings
from firstcrop.shelf.assay_records import Assay, assay_json

VINEGAR = {
    "method": "acid by alkali",
    "substance": "acetic acid",
    "sample": "10.00 mL\tpipette 10 mL A",
    "made up to": "250 mL\tflask 250 mL A",
    "aliquot": "25.00 mL\tpipette 25 mL A",
    "titre": "16.70; 16.75; 16.68 mL\tburette 50 mL A",
    "titrant": "0.0500 ± 0.0002 mol/L",
    "temperature": "20 °C\tlimits 2 °C",
}


def _text(**changes: str) -> str:
    rows = VINEGAR | {k.replace("_", " "): v for k, v in changes.items()}
    return "\n".join(f"{name}\t{value}" for name, value in rows.items() if value)


def _good(**changes: str) -> Assay:
    found = assay("", read_readings(_text(**changes)), load_bank())
    assert isinstance(found, Assay), found
    return found


def _codes(**changes: str) -> list[str]:
    found = assay("", read_readings(_text(**changes)), load_bank())
    problems = found.problems if isinstance(found, Assay) else found
    if not isinstance(found, Assay):
        assert any(p.severity is Severity.ERROR for p in found)
    return [p.code for p in problems]


def _shares(found: Assay) -> dict[str, float]:
    return {name: share for name, _, share in found.measured.groups()}


def test_the_strength_is_ready_for_a_bottle():
    found = _good()
    assert found.strength is not None
    assert found.strength.basis is Basis.MOLARITY
    assert found.strength.value == pytest.approx(found.value, rel=1e-3)
    assert found.strength.band == pytest.approx(found.measured.half_width(0.9), rel=0.06)
    again = read_strength(found.strength.text)
    assert again == found.strength


def test_the_same_amount_in_every_basis():
    by_volume = _good().value  # mol/m3
    mass = 60.052e-3  # kg/mol
    density = "1.010 ± 0.001 g/mL"
    assert _good(**{"in": "g/L"}).value == pytest.approx(by_volume * mass, rel=1e-4)
    assert _good(**{"in": "% w/v"}).value == pytest.approx(by_volume * mass, rel=1e-4)
    by_mass = _good(**{"in": "% w/w"}, density=density).value
    assert by_mass == pytest.approx(by_volume * mass / 1010.0, rel=1e-4)
    molal = _good(**{"in": "mol/kg"}, density=density).value
    assert molal == pytest.approx(by_mass / mass / (1.0 - by_mass), rel=1e-4)
    weighed = _good(sample="10.10 g\tbalance 0.01 g").value
    assert weighed == pytest.approx(by_volume * mass * 10e-6 / 10.10e-3, rel=1e-4)


def test_more_replicates_and_better_ware_narrow_it():
    one, three = _good(titre="16.70 mL\tburette 50 mL A"), _good()
    six = _good(titre="16.70; 16.75; 16.68; 16.70; 16.75; 16.68 mL\tburette 50 mL A")
    assert six.measured.half_width() < three.measured.half_width()
    assert "assay.single" in [p.code for p in one.problems]
    worse = _good(titre="16.70; 16.75; 16.68 mL\tburette 50 mL B")
    assert worse.u > three.u
    assert _shares(worse)["titre"] > _shares(three)["titre"]


def test_two_replicates_count_as_little_as_they_say():
    found = _good(titre="16.70; 16.80 mL\tburette 50 mL A", titrant="0.0500 ± 0.00001 mol/L")
    assert found.measured.freedom < 2.0
    assert found.measured.half_width() > 3.0 * found.u
    assert "assay.few" in [p.code for p in found.problems]


def test_equal_replicates_are_no_better_than_their_last_digit():
    found = _good(titre="16.7; 16.7; 16.7 mL\tburette 50 mL A")
    again = next(r for r in found.measured.rows if r.input.name == "repeatability")
    # two readings to 0.1 mL, each ± 0.05 mL rectangular, mean of three (GUM F.2.2.1)
    assert again.input.u == pytest.approx(0.1 / math.sqrt(12) * math.sqrt(2 / 3) / 16.7, rel=1e-6)
    assert "last digit" in again.input.label


def test_an_outlier_is_flagged_and_kept():
    clean = _good(titre="16.70; 16.72; 16.68; 16.71 mL\tburette 50 mL A")
    stray = _good(titre="16.70; 16.72; 16.68; 16.71; 18.20 mL\tburette 50 mL A")
    assert len(stray.replicates) == 5
    assert stray.value > clean.value
    (problem,) = [p for p in stray.problems if p.code == "assay.outlier"]
    assert "Replicate 5" in problem.message
    assert "18.2 mL" in problem.message
    assert problem.severity is Severity.WARNING
    assert "assay.outlier" not in [p.code for p in clean.problems]
    last = _good(titre="16.70; 16.70; 16.72 mL\tburette 50 mL A")  # two last digits apart
    assert "assay.outlier" not in [p.code for p in last.problems]


def test_replicates_of_their_own_weighings():
    found = _good(
        sample="0.5012; 0.6021; 0.4498 g\tbalance 0.1 mg",
        made_up_to="",
        aliquot="",
        titre="16.70; 20.06; 14.98 mL\tburette 50 mL A",
    )
    assert found.replicates == pytest.approx((0.10003, 0.10002, 0.09997), rel=3e-4)
    mixed = _codes(sample="0.5; 0.6 g", made_up_to="", aliquot="")
    assert "assay.counts" in mixed


def test_warm_glass_and_warm_liquor():
    """At 30 °C water has grown by 0.26 % (Kell 1975: 998.204 and 995.647 kg/m3), glass by 0.01 %;
    flask, pipette and burette alike, so that of the molarity one such factor is left."""
    cool, warm = _good(), _good(temperature="30 °C\tlimits 2 °C")
    grown = 998.204 / 995.647 / (1.0 + 9.9e-6 * 10.0)
    assert warm.value == pytest.approx(cool.value, rel=1e-6)  # titre and sample cancel
    weighed = {"sample": "10.00 g\tbalance 0.01 g", "made_up_to": "", "aliquot": ""}
    cool = _good(**weighed)
    warm = _good(**weighed, temperature="30 °C\tlimits 2 °C")
    assert cool.value / warm.value == pytest.approx(grown, rel=1e-5)


def test_a_blank_is_taken_off_without_the_burette_counting_twice():
    plain, less = _good(), _good(blank="0.10; 0.12 mL")
    assert less.value == pytest.approx(plain.value * (16.71 - 0.11) / 16.71, rel=1e-6)
    assert _shares(less)["blank"] < 0.05


def test_advice_names_the_largest_part_first():
    found = _good(titrant="0.0500 ± 0.0010 mol/L")
    assert found.advice[0].startswith("titrant: ")
    assert "standardise it" in found.advice[0]
    assert next(iter(_shares(found))) == "titrant"


def test_a_standardisation_within_the_assay():
    found = _good(
        titrant="",
        standard="potassium hydrogen phthalate",
        standard_mass="0.2045; 0.2103; 0.1987 g\tbalance 0.1 mg",
        standard_titre="20.03; 20.60; 19.46 mL\tburette 50 mL A",
        standard_purity="99.95 ± 0.05 %",
    )
    strengths = [0.2045 / 20.03, 0.2103 / 20.60, 0.1987 / 19.46]
    titrant = 0.9995 * sum(strengths) / 3 / 0.204222 * 1e3  # mol/m3
    assert found.value == pytest.approx(titrant * 16.71 / 25 * 250 / 10, rel=1e-4)
    assert "standardisation" in _shares(found)


def test_what_is_not_said_is_taken_at_its_least_and_told():
    found = _good(sample="10.0 mL", titrant="0.050 mol/L")
    codes = [p.code for p in found.problems]
    assert codes.count("assay.unstated") == 2
    row = next(r for r in found.measured.rows if r.input.of == "titrant")
    assert row.input.u == pytest.approx(0.5 / math.sqrt(3.0))
    pure = _codes(
        titrant="", standard="KHP", standard_mass="0.2045 g\tbalance 0.1 mg",
        standard_titre="20.03 mL\tburette 50 mL A",
    )  # fmt: skip
    assert "assay.purity" in pure


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"titre": "-16.7 mL"}, "assay.negative"),
        ({"titre": "16.7 g"}, "assay.unit"),
        ({"titre": "52.3 mL\tburette 50 mL A"}, "assay.beyond"),
        ({"sample": "9.0 mL\tpipette 10 mL A"}, "assay.ware"),
        ({"sample": "10 mL\tbalance 0.1 g"}, "assay.ware"),
        ({"blank": "17 mL"}, "assay.blank"),
        ({"titre": ""}, "assay.missing"),
        ({"titrant": ""}, "assay.missing"),
        ({"aliquot": ""}, "assay.missing"),
        ({"aliquot": "300 mL"}, "assay.impossible"),
        ({"titrant": "5 % w/w"}, "assay.unit"),
        ({"titrant": "strong"}, "strength-vague"),
        ({"substance": "sodium chloride"}, "assay.substance"),
        ({"substance": ""}, "assay.missing"),
        ({"method": "tasting"}, "assay.method"),
        ({"in": "% w/w"}, "assay.missing"),
        ({"in": "proof"}, "assay.basis"),
        ({"in": "% w/w", "density": "0.03 g/mL"}, "assay.impossible"),
        ({"temperature": "300 °C"}, "assay.temperature"),
        ({"titre": "1e300 mL"}, "assay.value-size"),
    ],
)
def test_bad_input_is_refused_with_its_reason(changes, code):
    assert code in _codes(**changes)


def test_a_purity_just_above_all_is_a_warning_far_above_an_error():
    rows = {"substance": "potassium hydrogen phthalate", "made_up_to": "", "aliquot": "",
            "titrant": "0.1000 ± 0.0005 mol/L"}  # fmt: skip
    near = _good(**rows, sample="0.3400 g\tbalance 0.1 mg")
    assert near.value > 1.0
    assert [p.code for p in near.problems] == ["assay.impossible"]
    assert "assay.impossible" in _codes(**rows, sample="0.3000 g\tbalance 0.1 mg")


def test_a_back_titration_from_its_excess_or_from_a_blank():
    rows = {
        "method": "complexometry by back titration", "substance": "potassium alum",
        "sample": "0.4500 g\tbalance 0.1 mg", "made_up_to": "", "aliquot": "",
        "titrant": "0.0500 ± 0.0001 mol/L", "titre": "30.00; 30.05 mL\tburette 50 mL A",
        "back_titrant": "0.0500 ± 0.0001 mol/L",
    }  # fmt: skip
    excess = _good(**rows, excess="48.9 mL\tburette 50 mL A")
    blank = _good(**rows, blank="48.90 mL\tburette 50 mL A")
    assert excess.value == pytest.approx(blank.value, rel=1e-6)
    assert excess.value == pytest.approx(0.05 * (48.9 - 30.025) * 1e-6 * 1e3 * 474.37e-3 / 0.45e-3,
                                         rel=1e-3)  # fmt: skip
    assert "assay.missing" in _codes(**rows)
    assert "assay.impossible" in _codes(**rows, excess="20 mL\tpipette 20 mL A")


def test_nothing_written_is_lost():
    text = _text(titre="-3 mL")
    found = assay("", read_readings(text), load_bank())
    assert not isinstance(found, Assay)
    assert read_readings(text).text == text
    assert _good().text == _text()


def test_the_record_for_a_store_is_plain_json():
    found = _good()
    record = json.loads(json.dumps(assay_json(found), allow_nan=False))
    assert record["value"] == found.value
    assert record["strength"] == found.strength.text
    assert len(record["budget"]) == len(found.measured.rows)
    assert math.fsum(row["share"] for row in record["budget"]) == pytest.approx(1.0)
    assert record["readings"] == _text()
