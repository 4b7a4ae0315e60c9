"""Ordinary sentences and the fields each of their phrases must end up in: sentences.tsv."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path

import pytest

from firstcrop.problems import Severity
from firstcrop.quantity.records import Quantity
from firstcrop.sheet.clauses import read_step
from firstcrop.sheet.hints import example
from firstcrop.sheet.page import Passage
from firstcrop.sheet.patterns import Wording, load_vocabulary
from firstcrop.sheet.records import (
    Blank,
    Clause,
    End,
    Equivalents,
    Excess,
    Means,
    Rest,
    Verb,
)
from firstcrop.sheet.write_clause import write_end, write_means, write_value
from sheet.sheet_strategies import NAMES

TABLE = Path(__file__).with_name("sentences.tsv")
ROWS = [
    tuple(line.split("\t"))
    for line in TABLE.read_text(encoding="utf-8").splitlines()
    if line and not line.startswith("#")
]


def shown(value: object) -> str:
    """A field as the table writes it."""
    match value:
        case Quantity() | Blank():
            text = write_value(value)
        case Equivalents():
            text = write_value(value.count) + (f" of {value.of}" if value.of else "")
        case Excess() | Rest():
            text = type(value).__name__.lower()
        case End():
            text = write_end(value)
        case Means():
            text = write_means(value)
        case tuple():
            text = " + ".join(shown(v) for v in value)
        case _:
            text = str(value)
    return text


def fields_said(clause: Clause) -> str:
    plain = Clause(clause.verb)
    said = [
        f"{f.name}={shown(getattr(clause, f.name))}"
        for f in fields(clause)
        if f.compare and f.name != "verb" and getattr(clause, f.name) != getattr(plain, f.name)
    ]
    return ", ".join([clause.verb.value, *said])


@pytest.mark.parametrize(("sentence", "expected"), ROWS, ids=[r[0][:40] for r in ROWS])
def test_every_phrase_lands_in_its_field(sentence: str, expected: str) -> None:
    clauses, problems = read_step(Passage(sentence), NAMES)
    assert [p for p in problems if p.severity is not Severity.NOTE] == []
    assert " | ".join(fields_said(c) for c in clauses) == expected


@pytest.mark.parametrize("verb", list(Verb))
def test_every_verb_has_sentences(verb: Verb) -> None:
    assert any(f"| {verb.value}" in f"| {expected}" for _, expected in ROWS)


def _phrases() -> list[Wording]:
    rows: dict[int, Wording] = {}
    for wording in load_vocabulary().of("phrase"):
        if not wording.get("vague"):
            rows.setdefault(wording.row, wording)
    return list(rows.values())


@pytest.mark.parametrize("wording", _phrases(), ids=example)
def test_every_wording_of_the_table_is_understood(wording: Wording) -> None:
    """The fullest form of every row, after a plain verb: no problem, and it sets something."""
    text = f"Hold {example(wording)}"
    clauses, problems = read_step(Passage(text), NAMES)
    assert {p.code for p in problems} <= {"limits-contradict"}  # between 45 °C and 45 °C
    assert len(clauses) == 1
    empty = clauses[0] == Clause(Verb.HOLD)
    assert not empty or "relative" in text or "based" in text or "respect" in text or " it" in text


def test_the_order_of_phrases_does_not_matter() -> None:
    orders = [
        "Add 7 g of caustic potash to the beaker over 20 min with stirring, keeping below 45 °C.",
        "Over 20 min, add 7 g of caustic potash to the beaker, keeping below 45 °C, with stirring.",
        "With stirring, add 7 g of caustic potash over 20 min, keeping below 45 °C, to the beaker.",
        "Add to the beaker over 20 min 7 g of caustic potash with stirring below 45 °C.",
        "Add with stirring 7 g of caustic potash below 45 °C over 20 min into the beaker.",
    ]
    read = [read_step(Passage(o), NAMES) for o in orders]
    assert all(not problems for _, problems in read)
    assert len({clauses for clauses, _ in read}) == 1


def test_a_place_points_at_the_phrase() -> None:
    text = "Add ? mL of dilute acid to pH 2.5, keeping below 80 °C."
    (clause,), _ = read_step(Passage(text, ((0, 7, 4),)), NAMES)
    for name, phrase in (("end", "to pH 2.5"), ("below", "keeping below 80 °C")):
        place = clause.at_field(name)
        assert (place.line, place.column) == (7, 4 + text.index(phrase))
        assert place.length == len(phrase)
    assert isinstance(clause.amount, Blank)
    assert clause.amount.place.column == 4 + text.index("?")


def test_it_means_what_was_kept() -> None:
    clauses, _ = read_step(
        Passage("Filter; keep the crystals. Wash them with 5 mL of water."), NAMES
    )
    assert clauses[1].into == "crystals"


def test_a_short_name_means_the_only_material_that_ends_so() -> None:
    clauses, _ = read_step(Passage("Add 5 mL of the acid."), NAMES)
    assert clauses[0].what == "dilute acid"
    clauses, _ = read_step(Passage("Add 5 mL of water."), NAMES)
    assert clauses[0].what == "water"
