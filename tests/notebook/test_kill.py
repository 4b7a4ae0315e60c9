"""No acknowledged reading is lost when the writer is killed, on SQLite and PostgreSQL."""

from __future__ import annotations

from notebook.kill import killed_many_times


def test_killed_writers_lose_nothing_they_acknowledged(store_url):
    tally = killed_many_times(store_url, kills=40, seed=20260301)
    assert tally.acknowledged >= 40  # each said at least one reading was kept
    assert (tally.lost, tally.broken) == (0, 0), tally
    assert tally.recorded >= tally.acknowledged
