"""Rules of thumb are marked so."""

from __future__ import annotations

from firstcrop.account.tables import meanings


def test_every_meaning_says_it_is_common_practice():
    assert {m.obtained for m in meanings().values()} == {"common practice"}
