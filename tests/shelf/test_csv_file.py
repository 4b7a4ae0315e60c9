"""The shelf goes out as CSV and comes back the same; what is wrong is told with its line."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from firstcrop.bank.bank import load_bank
from firstcrop.shelf.bottles import add_bottle, draw, levels, record_assay
from firstcrop.shelf.csv_file import COLUMNS, export_csv, import_csv
from firstcrop.shelf.entering import read_bottle
from firstcrop.shelf.records import Assay, Bottle
from firstcrop.store.engine import Store, open_store
from shelf.sample_shelf import ACID, LYE, bottle, take

GOOD = """name,product,size,strength
acid 1,battery acid,1 L,37 ± 1 % w/w
lye,caustic soda beads,500 g,
"""


def test_out_and_in_again_is_the_same(store, tmp_path):
    for cells in (ACID, LYE):
        add_bottle(store, bottle(cells))
    draw(store, "lye", take("k", 0.1234567))
    record_assay(
        store, "acid 1", Assay("a", "2026-04-01", "Anna", "acid–base", 0.346, "% w/w", 0.0012)
    )
    text = export_csv(store)
    other = open_store(f"sqlite:///{tmp_path / 'other.db'}")
    assert isinstance(other, Store)
    told = import_csv(other, text, load_bank())
    assert told.problems == ()
    assert [b.name for b in told.added] == ["acid 1", "lye"]
    assert export_csv(other) == text
    assert import_csv(other, text, load_bank()).alike == ("acid 1", "lye")
    assert export_csv(other) == text
    assert [x.left for x in levels(other)] == pytest.approx([x.left for x in levels(store)])
    other.close()


def test_the_first_line_names_the_columns(store):
    assert next(csv.reader(io.StringIO(export_csv(store)))) == list(COLUMNS)


def test_a_spreadsheet_with_semicolons_and_a_byte_order_mark(store):
    told = import_csv(store, "\ufeff" + GOOD.replace(",", ";"), load_bank())
    assert len(told.added) == 2


@pytest.mark.parametrize(
    ("text", "line", "part"),
    [
        (GOOD + "x,battery acid,much,\n", 4, "no number"),
        (GOOD + "x,nothing known,1 L,\n", 4, "not in the bank"),
        (GOOD + "\nx,battery acid,1 L,37,8 % w/w\n", 5, "5 cells under 4 headings"),
        (GOOD + "Lye,caustic soda beads,1 kg,\n", 4, "twice"),
        (GOOD.replace("size", "weight"), 1, "no column “weight”"),
        (GOOD.replace("size", "lot"), 1, "column size is missing"),
        ("", 1, "missing"),
        (GOOD + '"open quote', 4, "no CSV"),
        ("name,product,size,left\nlye,caustic soda beads,500 g,1 L\n", 2, "no mass"),
        ("name,product,size,assay\nlye,caustic soda beads,500 g,96 % w/w\n", 2, "when"),
    ],
)
def test_a_bad_row_is_told_with_its_line_and_nothing_is_taken(store, text, line, part):
    told = import_csv(store, text, load_bank())
    assert told.added == ()
    assert [p.line for p in told.problems] == [line]
    assert part in told.problems[0].message
    assert levels(store) == ()


def test_a_bottle_that_stands_there_otherwise_is_not_overwritten(store):
    import_csv(store, GOOD, load_bank())
    told = import_csv(store, GOOD.replace("500 g", "750 g"), load_bank())
    assert [p.code for p in told.problems] == ["shelf.taken"]
    assert levels(store)[1].bottle.size == 0.5


def test_a_cell_with_line_breaks_keeps_the_count_of_lines(store):
    text = 'name,product,size,notes\na,battery acid,1 L,"two\nlines"\nb,battery acid,no,\n'
    assert [p.line for p in import_csv(store, text, load_bank()).problems] == [4]


WORDS = st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")), max_size=30)


@given(
    st.fixed_dictionaries(
        {
            "name": WORDS.filter(str.strip), "lot": WORDS, "stored at": WORDS, "notes": WORDS,
            "size": st.floats(1e-3, 1e6).map(lambda x: f"{x!r} g"),
            "price": st.floats(0.01, 1e4).map(lambda x: f"{x:.2f} EUR"),
        }
    ),
    st.floats(0.0, 1.0),
)  # fmt: skip
@settings(
    max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_whatever_is_written_comes_back(tmp_path_factory, cells, part):
    """Names, notes and amounts of any kind: out and in again, the file is the same."""
    made = read_bottle({**cells, "product": "washing soda crystals"}, load_bank())
    assert isinstance(made, Bottle), made
    texts = []
    folder = tmp_path_factory.mktemp("csv")
    for n in range(2):
        store = open_store(f"sqlite:///{folder / f'{n}.db'}")
        if n == 0:
            add_bottle(store, made)
            draw(store, made.name, take("k", part * made.size))
        else:
            assert import_csv(store, texts[0], load_bank()).problems == ()
        texts.append(export_csv(store))
        store.close()
    assert texts[0] == texts[1]
