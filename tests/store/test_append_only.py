"""The statements name the table and what is refused; that they work is tested in test_engine."""

from __future__ import annotations

import pytest

from firstcrop.store.append_only import triggers


@pytest.mark.parametrize(("dialect", "count"), [("sqlite", 2), ("postgresql", 3)])
def test_one_trigger_an_event(dialect, count):
    made = triggers(dialect, "entry")
    assert len(made) == count
    assert sum("BEFORE UPDATE ON entry" in m for m in made) == 1
    assert sum("BEFORE DELETE ON entry" in m for m in made) == 1
