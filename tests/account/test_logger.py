"""Loggers' CSV files as they come."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstcrop.account.logger import read_log

BEGUN = "2026-03-01T10:00:00+00:00"
KELVIN = [293.15, 295.65]


@pytest.mark.parametrize(
    "text",
    [
        "time,temperature\n0,20.0\n60,22.5\n",
        "Time (s);Temp (°C)\r\n0;20,0\r\n60;22,5\r\n",
        "seconds\tT °C\n0\t20\n60\t22.5\n",
        "Time,Temperature °F\n0,68\n60,72.5\n",
        "2026-03-01 10:00:00,20.0\n2026-03-01 10:01:00,22.5\n",
        "# made by a logger\n\nDate/Time,Temp,Battery\n2026-03-01T10:00:00+00:00,20,99\n"
        "2026-03-01T10:01:00+00:00,22.5,99\n",
        "no,time,temp\n1,10:00:00,20.0\n2,10:01:00,22.5\n",
    ],
)
def test_columns_and_times_are_found(text):
    rows, problems = read_log(text, BEGUN)
    assert problems == ()
    assert [row.temperature for row in rows] == pytest.approx(KELVIN)
    assert [row.at for row in rows] == [BEGUN, "2026-03-01T10:01:00+00:00"]


def test_a_clock_past_midnight_is_the_next_day():
    rows, _ = read_log("time,temp\n23:59,20\n00:01,21\n", "2026-03-01T23:50:00+00:00")
    assert [row.at[:16] for row in rows] == ["2026-03-01T23:59", "2026-03-02T00:01"]


def test_a_row_that_cannot_be_read_is_named_and_the_rest_kept():
    rows, problems = read_log("time,temp\n0,20\nnoon,21\n60,ERR\n120,9999\n180,23\n", BEGUN)
    assert [row.temperature for row in rows] == pytest.approx([293.15, 296.15])
    assert [p.line for p in problems] == [3, 4, 5]
    assert "no time" in problems[0].message
    assert "no temperature" in problems[1].message
    assert "not believed" in problems[2].message


def test_which_temperature_is_asked_when_several_could_be():
    (problem,) = read_log("time,a,b\n0,20,30\n", BEGUN)[1]
    assert problem.code == "log.column"
    assert "temperature" in problem.hint


def test_the_same_file_gives_the_same_keys():
    text = "time,temp\n0,20\n60,21\n"
    assert read_log(text, BEGUN) == read_log(text, BEGUN)
    keys = [row.key for row in read_log(text, BEGUN)[0]]
    assert len(set(keys)) == 2


@pytest.mark.parametrize("text", ["", "\n\n", "hello", "a,b,c\nd,e,f\n"])
def test_what_is_no_log_is_a_problem(text):
    rows, problems = read_log(text, BEGUN)
    assert rows == ()
    assert len(problems) == 1


@given(st.text(max_size=300) | st.text(st.sampled_from("0123456789.,;:\t\n- T"), max_size=300))
def test_any_text_is_rows_or_problems(text):
    rows, problems = read_log(text, BEGUN)
    assert rows or problems or not text.strip()
