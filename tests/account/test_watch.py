"""A run in progress: alarms say what to do first, and the rest is forecast from what was read."""

from __future__ import annotations

from account.test_entries import BEGUN, HOT, entries
from account.test_learn import saltpetre
from firstcrop.account.watch import durations, watch
from firstcrop.notebook.records import Kind


def test_a_beaker_far_too_hot_is_an_alarm_with_what_to_do():
    hot = saltpetre().base.logs[0].instants[-1].temperature + 45.0
    found = watch(saltpetre(), entries((BEGUN, 0, 1, None, ""), (HOT, 60, 1, hot, "hot")))
    (alarm,) = found.alarms
    assert alarm.surprise.size > 1.0
    assert "Stop adding" in alarm.first
    assert "stronger" in alarm.means


def test_readings_as_forecast_raise_no_alarm_and_narrow_the_rest():
    volume = saltpetre().base.logs[0].instants[-1].volume
    before = watch(saltpetre(), ()).learned.numbers["end volume", 2]
    found = watch(saltpetre(), entries((Kind.VOLUME, 0, 1, volume, "80 ± 0.2 mL")))
    assert found.alarms == ()
    after = found.learned.numbers["end volume", 2]
    assert after.high - after.low < before.high - before.low


def test_durations_are_those_of_the_forecast():
    assert durations(saltpetre())[3] == 1800.0
