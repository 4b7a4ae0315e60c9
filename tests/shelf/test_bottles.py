"""Bottles and draws, the same on SQLite and PostgreSQL: nothing is lost, nothing is drawn twice."""

from __future__ import annotations

import threading
from dataclasses import replace

import pytest

from firstcrop.problems import Problem
from firstcrop.shelf.bottles import (
    add_bottle,
    assays,
    change_bottle,
    draw,
    draw_all,
    draws,
    find_level,
    levels,
    record_assay,
)
from firstcrop.shelf.records import Assay, Level
from shelf.sample_shelf import ACID, LYE, bottle, take

TITRATED = Assay("a1", "2026-04-01T10:00:00+00:00", "Anna", "acid–base", 0.346, "% w/w", 0.0012)


@pytest.fixture
def shelf(store):
    for cells in (ACID, LYE):
        add_bottle(store, bottle(cells))
    return store


def test_a_bottle_is_kept_as_it_was_written(store):
    wanted = bottle(ACID)
    kept = add_bottle(store, wanted)
    assert find_level(store, "ACID 1").bottle == kept
    assert replace(kept, id=0, added="") == wanted


def test_two_bottles_cannot_have_one_name(shelf):
    problem = add_bottle(shelf, bottle(ACID, name="acid 1", lot="other"))
    assert problem.code == "shelf.taken"
    assert find_level(shelf, "acid 1").bottle.lot == "L2231"


def test_drawing_lowers_what_is_left(shelf):
    level = draw(shelf, "acid 1", take("k1", 2.5e-4))
    assert (level.left, level.draws) == (pytest.approx(7.5e-4), 1)
    draw(shelf, "acid 1", take("k2", -1e-4))  # put back
    assert {x.bottle.name: x.left for x in levels(shelf)} == pytest.approx(
        {"acid 1": 8.5e-4, "lye": 0.5}
    )
    assert [d.amount for d in draws(shelf, "acid 1")] == [2.5e-4, -1e-4]


def test_a_bottle_used_up_says_so_and_keeps_the_books(shelf):
    draw(shelf, "lye", take("k1", 0.45))
    problem = draw(shelf, "lye", take("k2", 0.0501))
    assert problem.code == "shelf.empty"
    assert problem.message == "lye holds 50 g; 50.1 g cannot be drawn from it"
    assert draw(shelf, "lye", take("k3", 0.05)).left == pytest.approx(0.0, abs=1e-12)
    assert len(draws(shelf, "lye")) == 2


def test_the_same_draw_sent_twice_counts_once(shelf):
    draw(shelf, "lye", take("k1", 0.1))
    assert draw(shelf, "lye", take("k1", 0.1)).left == pytest.approx(0.4)
    assert draw(shelf, "lye", take("k1", 0.2)).code == "shelf.key"
    assert draw(shelf, "acid 1", take("k1", 0.1)).code == "shelf.key"


def test_two_people_drawing_at_once_never_draw_what_is_not_there(shelf):
    """Twenty draws of 30 g from 500 g by four threads: sixteen fit, four are refused."""
    outcomes = []

    def draw_five(who):
        outcomes.extend(draw(shelf, "lye", take(f"{who}{n}", 0.03, who)) for n in range(5))

    threads = [threading.Thread(target=draw_five, args=(who,)) for who in "ABCD"]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    drawn = [o for o in outcomes if isinstance(o, Level)]
    assert (len(drawn), len(outcomes)) == (16, 20)
    assert {o.code for o in outcomes if isinstance(o, Problem)} == {"shelf.empty"}
    assert find_level(shelf, "lye").left == pytest.approx(0.02)
    assert min(o.left for o in drawn) == pytest.approx(0.02)


@pytest.mark.parametrize(
    ("name", "wanted", "code"),
    [
        ("acid 3", take("k", 1e-4), "shelf.missing"),
        ("acid 1", take("k", 1e-4, " "), "shelf.nobody"),
        ("acid 1", take("", 1e-4), "shelf.key"),
        ("acid 1", take("k", float("nan")), "shelf.amount"),
    ],
)
def test_bad_draws_are_problems(shelf, name, wanted, code):
    problem = draw(shelf, name, wanted)
    assert problem.code == code
    assert [x.draws for x in levels(shelf)] == [0, 0]


def test_a_missing_bottle_names_the_nearest(shelf):
    assert find_level(shelf, "acid one").hint == "did you mean acid 1?"


def test_the_second_of_two_edits_is_told(shelf):
    seen = find_level(shelf, "acid 1").bottle
    changed = change_bottle(shelf, "acid 1", seen.edition, stored_at="shed")
    assert (changed.stored_at, changed.edition) == ("shed", seen.edition + 1)
    late = change_bottle(shelf, "acid 1", seen.edition, stored_at="attic")
    assert late.code == "shelf.changed"
    assert find_level(shelf, "acid 1").bottle.stored_at == "shed"


def test_the_latest_assay_counts_whenever_it_was_entered(shelf):
    early = Assay("a0", "2026-03-05T10:00:00+00:00", "Ben", "density", 0.36, "% w/w", 0.003)
    assert record_assay(shelf, "acid 1", TITRATED) == TITRATED
    record_assay(shelf, "acid 1", early)
    assert find_level(shelf, "acid 1").assay == TITRATED
    assert next(x.assay for x in levels(shelf) if x.bottle.name == "acid 1") == TITRATED
    assert assays(shelf, "acid 1") == (early, TITRATED)
    assert record_assay(shelf, "acid 1", TITRATED) == TITRATED
    assert len(assays(shelf, "acid 1")) == 2


def test_a_negative_assay_is_a_problem(shelf):
    wrong = Assay("a2", "2026-04-02", "Anna", "acid–base", -0.1, "% w/w", 0.001)
    assert record_assay(shelf, "acid 1", wrong).code == "shelf.assay"


def test_several_bottles_are_drawn_from_together_or_not_at_all(shelf):
    wanted = (("acid 1", take("r.0", 1e-4)), ("lye", take("r.1", 0.6)))
    assert draw_all(shelf, wanted).code == "shelf.empty"
    assert [x.draws for x in levels(shelf)] == [0, 0]
    both = draw_all(shelf, (wanted[0], ("lye", take("r.1", 0.1))))
    assert [x.left for x in both] == pytest.approx([9e-4, 0.4])
