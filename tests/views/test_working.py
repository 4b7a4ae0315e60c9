"""The working of a number adds up to the number shown."""

from __future__ import annotations

from firstcrop.bank.records import Source
from firstcrop.forecast.records import Term, Working
from firstcrop.views.working import numbers_on, show_terms, step_at, working_rows
from sample_forecast import LINES, sample


def test_a_step_line_gives_all_its_numbers():
    names = [name for name, _, _ in numbers_on(sample(), 8)]
    assert names[0] == "peak temperature"
    assert "heat" in names
    assert "blank" in names


def test_a_filter_line_gives_the_crop():
    assert "crop 1, dry" in [name for name, _, _ in numbers_on(sample(), 10)]


def test_an_observation_line_gives_its_forecast():
    assert [name for name, _, _ in numbers_on(sample(), 14)] == ["crop: 29.8 g"]


def test_the_title_gives_the_theory():
    assert [name for name, _, _ in numbers_on(sample(), 3)] == ["theory"]


def test_lines_after_the_steps_belong_to_none():
    assert step_at(sample(), 13) == 0
    assert step_at(sample(), 8) == 2
    assert step_at(sample(), 2) == 0
    assert numbers_on(sample(), len(LINES) + 5) == ()


def test_terms_add_up_to_the_number_shown():
    (row,) = working_rows(sample(), 8, "peak")
    assert row.result.text == "43.7 °C"
    assert [term.value for term in row.terms] == ["21.00 °C", "25.00 K", "−2.30 K"]
    assert row.total == "adds up to 43.70 °C"


def test_factors_multiply_to_it():
    (row,) = working_rows(sample(), 10, "dry")
    assert row.total.startswith("multiplies to 31.2")


def test_sources_are_cited_in_full():
    sources = {"nbs82": Source("nbs82", "Wagman et al. 1982")}
    (row,) = working_rows(sample(), 8, "peak", sources)
    assert row.source == "Wagman et al. 1982"
    assert "[measured] Wagman et al. 1982, p. 2-293" in row.terms[1].data[0]


def test_a_number_without_working_says_so():
    (row,) = working_rows(sample(), 8, "volume")
    assert row.notes == ("no working was kept for this number",)


def test_addends_share_scale_and_decimals():
    heat = sample().steps[1].heat
    assert heat is not None
    assert show_terms(heat) == ("10.000 kJ", "−0.500 kJ")


def test_terms_of_several_units_are_shown_each_in_its_own():
    mixed = Working(1.0, "1", "solve", (Term("a", 0.02, "mol"), Term("b", 3000.0, "J")))
    assert show_terms(mixed) == ("20.000 mmol", "3.0000 kJ")


def test_a_band_says_what_it_is_made_of_the_largest_first():
    (row,) = working_rows(sample(), 8, "peak")
    assert row.influences == (
        ("heat given to the room", "+2.2 K / −2.1 K"),
        ("strength of caustic potash", "−0.80 K / +0.75 K"),
    )
