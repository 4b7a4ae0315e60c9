"""Two invented runs beside each other."""

from __future__ import annotations

from dataclasses import replace

from account.test_entries import HOT, entries
from firstcrop.account.compare import compare, differing, peaks, strengths
from firstcrop.account.numbers import measured
from firstcrop.account.records import Account, Yield
from firstcrop.notebook.records import Kind, Run
from firstcrop.problems import Problem
from sample_sheets import ALUM

RUN = Run("a", "Alum", "alum.md", ALUM, "{}", "2026-03-01T10:00:00+00:00", "R. M.")
STRONGER = ALUM.replace("30 ± 1 % w/w", "33 ± 1 % w/w")
LATER = replace(RUN, id="b", sheet=STRONGER, begun="2026-03-02T10:00:00+00:00")
READ = entries((HOT, 0, 2, 317.0, "43.9 °C"), (HOT, 5, 2, 313.0, "40 °C"),
               (Kind.NOTE, 6, 3, None, "clear"))  # fmt: skip


def accounted(part: float) -> Account:
    row = Yield(1, "as weighed", measured(part, 0.01, "1"), measured(part * 0.04, 1e-4, "kg"))
    return Account("alum", None, "", yields=(row,))


def test_runs_stand_in_the_order_they_were_begun_with_what_differs():
    found = compare([(LATER, READ, accounted(0.9)), (RUN, (), accounted(0.8))])
    assert not isinstance(found, Problem)
    first, second = found
    assert (first.run.id, second.run.id) == ("a", "b")
    assert [y.fraction.value for y in second.yields] == [0.9]
    assert first.differs == ()
    assert [line[:2] for line in second.differs] == ["- ", "+ "]
    assert "33 ± 1 % w/w" in second.differs[1]
    assert dict(second.strengths)["dilute acid"] == "33 ± 1 % w/w"


def test_the_hottest_reading_of_a_step_counts():
    assert peaks(READ) == ((2, 317.0),)


def test_runs_of_other_sheets_are_not_compared():
    other = replace(LATER, title="Something else")
    found = compare([(RUN, (), accounted(0.8)), (other, (), accounted(0.9))])
    assert isinstance(found, Problem)
    assert compare([]) == ()


def test_a_text_does_not_differ_from_itself_and_strengths_are_as_written():
    assert differing(ALUM, ALUM) == ()
    assert dict(strengths(ALUM))["wash"] == "50 % v/v"
