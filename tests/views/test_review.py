"""The review as rows: sections in order, every caution with reason, source and remedy."""

from __future__ import annotations

import math

from firstcrop.cautions.records import AirCase, HeatCase, Label, Review
from firstcrop.forecast.records import Caution
from firstcrop.problems import Severity
from firstcrop.views.review import PROMISE, air_entries, heat_entry, label_entry, review_rows

CAUTION = Caution(
    "x", Severity.ERROR, "It boils.", "Why.", "a book", "Cool it.", 3, unverified=True
)


def test_a_caution_says_where_why_by_whom_and_what_helps() -> None:
    rows = review_rows(Review(cautions=(CAUTION,)))
    entry = rows.sections[0].entries[0]
    assert entry.head == "DANGER, step 3: It boils."
    assert entry.lines == ("Why. [a book] Not verified.", "→ Cool it.")
    assert entry.severity == "danger"


def test_empty_sections_are_left_out_and_the_promise_always_stands() -> None:
    rows = review_rows(Review())
    assert [s.title for s in rows.sections] == ["Not assessed"]
    assert rows.sections[-1].entries[-1].head == PROMISE


def test_a_refusal_is_all_there_is() -> None:
    rows = review_rows(Review(cautions=(CAUTION,), refused="No."))
    assert rows.refused == "No."
    assert rows.sections == ()


def test_the_worst_step_is_marked_and_sent_to_a_fume_cupboard() -> None:
    weak = AirCase(2, "NH3", "ammonia", 0.001, 1.0, 3.0, 35.0, 300.0, "35 ppm", math.nan)
    bad = AirCase(4, "NH3", "ammonia", 0.1, 80.0, 270.0, 35.0, 300.0, "35 ppm", math.nan)
    first, second = air_entries((weak, bad))
    assert "worst" not in first.head
    assert "the worst step" in second.head
    assert any("fume cupboard" in line for line in second.lines)
    assert not any("fume cupboard" in line for line in first.lines)


def test_heat_says_peak_time_and_class() -> None:
    case = HeatCase(
        3, 300.0, 4e4, 0.4, 100.0, 400.0, 373.15, 120.0, 600.0, 0.0, 300.0, "medium", "class 3 or 4"
    )
    entry = heat_entry(case)
    assert "126.9 °C" in " ".join(entry.lines) or "126.8 °C" in " ".join(entry.lines)
    assert "2 min" in " ".join(entry.lines)
    assert "class 3 or 4" in " ".join(entry.lines)


def test_a_label_with_nothing_known_does_not_pass_for_harmless() -> None:
    label = Label("dust", "bottle", 0, (("dust", 1.0),), "", (), (), (), (), ("no hazard data",))
    entry = label_entry(label)
    assert "in what is known of it" in entry.head
    assert entry.lines == ("Not told: no hazard data.",)
