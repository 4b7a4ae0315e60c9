"""What was read goes back into the sheet and is read there again."""

from __future__ import annotations

from account.test_entries import HOT, entries
from firstcrop.account.observed import with_observed
from firstcrop.notebook.records import Kind
from firstcrop.sheet.read import read_sheet
from sample_sheets import ALUM

RUN = entries(
    (HOT, 0, 2, 317.0, "43.9 °C"), (HOT, 5, 2, 313.0, "39.9 °C"), (Kind.PH, 9, 6, 2.6, "2.6"),
    (Kind.CROP, 20, 8, 0.05, "50 g (crop 1, wet)"),
    (Kind.CROP, 90, 9, 0.0298, "29.8 g (crop 1, dry)"),
    (Kind.NOTE, 91, 9, None, "clear\ncrystals"),
)  # fmt: skip


def test_the_lines_are_read_as_observations():
    sheet = read_sheet(with_observed(ALUM, RUN))
    found = [(o.subject, o.step, round(o.quantity.value, 4)) for o in sheet.preparation.observed]
    assert found == [
        ("after step", 2, 313.05), ("pH", 6, 2.6), ("peak of step", 2, 317.05), ("crop", 0, 0.0298)
    ]  # fmt: skip
    assert not [p for p in sheet.problems if "observed" in p.code.lower()]


def test_the_rest_of_the_sheet_is_as_it_was_and_a_second_time_changes_nothing():
    once = with_observed(ALUM, RUN)
    before = ALUM[: ALUM.index("## Observed")] if "## Observed" in ALUM else ALUM.rstrip() + "\n"
    assert once.startswith(before.rstrip())
    assert with_observed(once, RUN) == once
    assert "Step 9: clear crystals" in once
