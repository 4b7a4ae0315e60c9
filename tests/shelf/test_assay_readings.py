"""Tables of readings: three ways to write one, and that nothing written is lost or crashes."""

from __future__ import annotations

import math

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from firstcrop.bank.bank import load_bank
from firstcrop.problems import Problem
from firstcrop.shelf.assay import assay
from firstcrop.shelf.assay_readings import Readings, read_readings, vocabulary
from firstcrop.shelf.assay_records import Assay

MARKDOWN = """# Vinegar of 3 May

Bought in the shop round the corner.

| reading | value | with |
|---|---|---|
| method | acid by alkali | |
| substance | acetic acid | |
| sample | 10.00 mL | pipette 10 mL A |
| titre | 16.70; 16.75; 16.68 mL | burette 50 mL B; repeatability 0.02 mL |
| titrant | 0.0500 ± 0.0002 mol/L | |
| temperature | 24 °C | limits 3 °C |
"""


def _plain(readings: Readings) -> dict[str, tuple[float, ...] | str]:
    return {n: r.numbers or r.text for n, r in readings.rows.items()}


def test_markdown_tsv_and_csv_say_the_same():
    rows = [
        [c.strip() for c in line.strip("|").split("|")]
        for line in MARKDOWN.splitlines()
        if line.startswith("|") and "---" not in line
    ]
    first = read_readings(MARKDOWN)
    assert first.problems == ()
    assert first.title == "Vinegar of 3 May"
    assert first.notes == ("Bought in the shop round the corner.",)
    for divider in ("\t", ","):
        other = read_readings("\n".join(divider.join(row) for row in rows))
        assert other.problems == ()
        assert _plain(other) == _plain(first)


def test_values_are_in_si_and_share_the_last_unit():
    titre = read_readings(MARKDOWN).rows["titre"]
    assert titre.numbers == pytest.approx((16.70e-6, 16.75e-6, 16.68e-6))
    assert titre.values[0].digit == pytest.approx(1e-8)
    assert titre.means.repeatability == pytest.approx(2e-8)
    assert titre.means.piece is not None
    titrant = read_readings(MARKDOWN).rows["titrant"].values[0]
    assert (titrant.value, titrant.band) == pytest.approx((50.0, 0.2))
    assert read_readings(MARKDOWN).rows["temperature"].means.limits == 3.0


def test_places_point_at_the_cell():
    (problem,) = read_readings("method\tpermanganate\ntitre\t20.1 g\tburette 50 mL A\n").problems
    (place,) = problem.places
    assert (place.line, place.column, place.length) == (2, 7, 6)


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("titre\t-0.1 mL", "assay.negative"),
        ("sample\t0 g", "assay.negative"),
        ("titre\t16.7 g", "assay.unit"),
        ("titre\t16.7", "assay.unit"),
        ("sample\t20 °C", "assay.unit"),
        ("temperature\t20 mL", "assay.unit"),
        ("molar mass\t60 g", "assay.unit"),
        ("tittre\t16.7 mL", "assay.row-unknown"),
        ("titre\t16.7 mL\nTitre\t16.8 mL", "assay.row-twice"),
        ("titre\tplenty", "quantity-number"),
        ("titre\t16.7 mL and a drop", "assay.value-rest"),
        ("made up to\t250; 500 mL", "assay.value-many"),
        ("titrant\tdilute", "strength-vague"),
        ("sample\t10-12 g", "assay.range"),
        ("titre\t16.8 to 0.1 mL", "assay.negative"),
        ("titre\t16.7 mL\tjam jar", "assay.ware-unknown"),
        ("titre\t16.7 mL\tlimits -3 mL", "assay.ware-unknown"),
        ("titre\t16.7 mL\tlimits 0.03 mL round", "assay.means"),
        ("titre\t;", "assay.value-empty"),
    ],
)
def test_each_mistake_has_its_problem(line, code):
    assert code in [p.code for p in read_readings(line).problems]


def test_a_near_name_is_offered():
    (problem,) = read_readings("tittre\t16.7 mL").problems
    assert "titre" in problem.hint


@pytest.mark.parametrize(
    "cell", ["0.10 to 16.80 mL", "0.10–16.80 mL", "0.10 mL - 16.80 mL", "0.10 → 16.80 mL"]
)
def test_a_burette_read_before_and_after(cell):
    (value,) = read_readings(f"titre\t{cell}").rows["titre"].values
    assert value.value == pytest.approx(16.70e-6)
    assert (value.band, value.digit) == (0.0, pytest.approx(1e-8))
    several = read_readings("titre\t0.10 to 16.80; 16.80 to 33.54 mL").rows["titre"]
    assert several.numbers == pytest.approx((16.70e-6, 16.74e-6))


def test_a_decimal_comma_is_read():
    assert read_readings("titre\t16,7 mL").rows["titre"].numbers == pytest.approx((16.7e-6,))


NAMES = st.sampled_from(sorted(vocabulary()))
NUMBERS = st.one_of(
    st.floats(allow_nan=True, allow_infinity=True).map(str),
    st.floats(0.001, 1000).map(lambda x: f"{x:.4g}"),
    st.text(max_size=8),
)
UNITS = st.sampled_from(["mL", "g", "mg", "mol/L", "%", "°C", "g/mL", "g/mol", "kJ/mol", "", "; 3"])
WARE = st.one_of(
    st.sampled_from(
        ["burette 50 mL A", "balance 0.1 mg", "limits 0.1 mL", "u 1 g", "pipette 10 mL"]
    ),
    st.text(max_size=15),
)
METHODS = st.sampled_from(
    ["acid by alkali", "iodometry", "density", "loss on drying", "gravimetry", "melting point",
     "standardise", "weighed standard", "halide by back titration", ""]
)  # fmt: skip
ROWS = st.lists(st.tuples(NAMES, NUMBERS, UNITS, WARE), max_size=14)


@settings(max_examples=150, deadline=None)
@given(METHODS, ROWS)
@example("density", [("substance", "ethanol", "", ""), ("density", "0.9", "g/mL", "")])
@example("loss on drying", [("before", "1", "g", ""), ("after", "1", "g", "")])
def test_no_table_can_crash_an_assay(method, rows):
    text = "\n".join("\t".join((n, f"{v} {u}".strip(), w)) for n, v, u, w in rows)
    _whole(method, text)


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=300))
def test_no_text_can_crash_the_reader(text):
    readings = read_readings(text)
    assert readings.text == text
    _whole("", text)


def _whole(method: str, text: str) -> None:
    """A result is finite and has a spread, or else something is wrong and says what."""
    found = assay(method, read_readings(text), load_bank())
    if isinstance(found, Assay):
        assert math.isfinite(found.value)
        assert math.isfinite(found.u)
        assert found.value > 0.0
    else:
        assert any(p.severity == "error" for p in found)
        assert all(isinstance(p, Problem) and p.message for p in found)
