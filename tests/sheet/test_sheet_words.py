"""The lists of words are those the reader knows."""

from __future__ import annotations

from firstcrop.sheet.clauses import read_step
from firstcrop.sheet.page import Passage
from firstcrop.sheet.patterns import Slot, expand
from firstcrop.sheet.records import EndKind, Verb
from firstcrop.sheet.words import ends, means, phrases, verbs


def test_every_verb_is_known_by_its_own_name_first() -> None:
    for verb, wordings in verbs():
        assert wordings[0].startswith(verb.value)
    assert {"pour", "neutralise", "acidify"} <= set(dict(verbs())[Verb.ADD])
    assert {"simmer", "evaporate"} <= set(dict(verbs())[Verb.BOIL_DOWN])


def test_means_are_printed_in_a_wording_that_means_them() -> None:
    assert len(means()) == 15
    for kind, wordings in means():
        (clause,), problems = read_step(Passage(f"Hold for 5 min {wordings[0]}."))
        assert [m.kind for m in clause.means] == [kind]
        assert problems == ()


def test_ends_are_all_but_a_ph() -> None:
    assert {kind for kind, _ in ends()} == set(EndKind) - {EndKind.PH}
    assert all(wordings for _, wordings in ends())


def test_phrases_have_no_gaps() -> None:
    assert len(phrases()) > 100
    assert not any("{" in p for p in phrases())


def test_a_row_stands_for_every_sequence_it_allows() -> None:
    assert expand("to [a] constant (mass|weight)") == [
        ("to", "a", "constant", "mass"),
        ("to", "a", "constant", "weight"),
        ("to", "constant", "mass"),
        ("to", "constant", "weight"),
    ]
    assert expand("at {temp:at}") == [("at", Slot("temp", "at"))]
