"""Entries become evidence at the right place of the right step."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstcrop.account.entries import (
    DRYING,
    PURITY,
    band_of,
    drying_losses,
    evidence,
    paces,
    purities,
    weighings,
)
from firstcrop.account.records import END, Dryness
from firstcrop.account.tables import meanings, reading_errors
from firstcrop.notebook.records import Entry, Kind, Reading

START = datetime(2026, 3, 1, 10, tzinfo=UTC)


def entries(*rows: tuple[Kind, float, int, float | None, str]) -> tuple[Entry, ...]:
    """(kind, minutes, step, value, text)."""
    made = []
    for number, (kind, minutes, step, value, text) in enumerate(rows, 1):
        at = (START + timedelta(minutes=minutes)).isoformat()
        reading = Reading(f"k{number}", kind, at, "R. M.", step, value, "", text)
        made.append(Entry(number, reading, at, "", ""))
    return tuple(made)


BEGUN, DONE, HOT = Kind.STEP_BEGUN, Kind.STEP_DONE, Kind.TEMPERATURE


def test_a_reading_stands_at_its_time_in_a_running_step():
    (found,) = evidence(
        entries((BEGUN, 0, 2, None, ""), (HOT, 5, 2, 320.0, "46.85 °C")), {2: 900.0}
    )
    assert (found.what, found.step, found.seconds) == ("temperature", 2, 300.0)


def test_a_step_that_took_longer_is_compared_at_the_same_part_of_the_way():
    rows = entries((BEGUN, 0, 2, None, ""), (HOT, 10, 2, 320.0, ""), (DONE, 20, 2, None, ""),
                   (HOT, 21, 2, 318.0, ""))  # fmt: skip
    assert [e.seconds for e in evidence(rows, {2: 900.0})] == [450.0, END]


def test_a_reading_of_a_step_nobody_began_counts_at_its_end():
    (found,) = evidence(entries((HOT, 5, 2, 320.0, "")), {2: 900.0})
    assert found.seconds == END


def test_the_writers_own_spread_counts_first():
    rows = entries((HOT, 0, 1, 320.0, "46.9 ± 0.2 °C"), (HOT, 0, 1, 320.0, "46.9 °C"),
                   (Kind.VOLUME, 0, 1, 1e-4, "100 mL"))  # fmt: skip
    assert [band_of(e.reading) for e in rows] == pytest.approx([0.2, 1.0, 3e-6])


def test_crops_wet_and_dry():
    rows = entries((Kind.CROP, 0, 9, 0.056, "56 g (crop 1, wet)"),
                   (Kind.CROP, 60, 9, 0.0408, "40.8 g (crop 1, dry)"),
                   (Kind.CROP, 90, 13, 0.0018, "1.8 g (crop 2)"))  # fmt: skip
    found = weighings(rows)
    assert [(w.crop, w.dryness) for w in found] == [
        (1, Dryness.WET), (1, Dryness.DRY), (2, Dryness.DRY)
    ]  # fmt: skip
    assert [(e.crop, e.dry) for e in evidence(rows, {})] == [(1, False), (1, True), (2, True)]


def test_notes_and_photos_are_no_evidence():
    rows = entries((Kind.NOTE, 0, 1, None, "cloudy"), (Kind.PHOTO, 0, 1, None, ""))
    assert evidence(rows, {}) == ()


def test_when_steps_began_and_ended():
    rows = entries((BEGUN, 0, 1, None, ""), (BEGUN, 3, 1, None, ""), (DONE, 9, 1, None, ""))
    pace = paces(rows)[1]
    assert pace.begun is not None
    assert pace.done is not None
    assert pace.done - pace.begun == 540.0


def test_every_kind_of_reading_has_an_error_and_a_meaning_both_ways():
    assert set(reading_errors()) == {"temperature", "pH", "mass", "volume", "crop"}
    for what, error in reading_errors().items():
        assert error.band(0.0) > 0.0 or error.relative > 0.0
        for side in ("above", "below"):
            assert meanings()[what, side].first
    assert math.isclose(reading_errors()["volume"].band(1e-3), 3e-5)


def test_drying_tests_and_purities_are_read_from_notes():
    rows = entries(
        (Kind.NOTE, 0, 9, None, "Drying test crop 1: 0.5000 g to 0.2721 g of KAl(SO4)2"),
        (Kind.NOTE, 1, 9, None, "drying test of crop 2: 1.00 ± 0.01 g → 0.60 g CuSO4"),
        (Kind.NOTE, 2, 9, None, "purity crop 1: 90 %"),
        (Kind.NOTE, 3, 9, None, "purity of crop 1: 98.2 ± 0.6 % (titration)"),
        (Kind.NOTE, 4, 9, None, "purity crop 2: 180 %"),
        (Kind.NOTE, 5, 9, None, "drying test crop 3: soon"),
    )
    one, two = drying_losses(rows)
    assert (one.crop, one.before, one.after, one.residue) == (1, 5e-4, 2.721e-4, "KAl(SO4)2")
    # half of the last digit each way, 90 % of a rectangular error
    assert one.band == pytest.approx(0.45e-7)
    assert (two.residue, two.band) == ("CuSO4", pytest.approx(1e-5))
    (pure,) = purities(rows)
    assert (pure.crop, pure.how) == (1, "titration")
    assert (pure.fraction, pure.band) == (pytest.approx(0.982), pytest.approx(0.006))


@given(st.text(max_size=80) | st.from_regex(DRYING) | st.from_regex(PURITY))
def test_any_note_is_read_or_left(text):
    rows = entries((Kind.NOTE, 0, 1, None, text))
    assert all(loss.residue for loss in drying_losses(rows))
    assert all(0.0 < pure.fraction <= 1.0 for pure in purities(rows))
