"""The tables: every equation balances, and the equations of a row give its ratio."""

from __future__ import annotations

from fractions import Fraction

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.bank.tables import read_sources, read_table
from firstcrop.chem.equation import Equation, check, parse_equation
from firstcrop.chem.formula import parse_formula
from firstcrop.problems import Problem
from firstcrop.shelf.assay import assay
from firstcrop.shelf.assay_methods import (
    find_counted,
    find_method,
    find_standard,
    form,
    load_counted,
    load_methods,
    load_standards,
)
from firstcrop.shelf.assay_readings import read_readings
from firstcrop.shelf.assay_records import Assay

TITRANT = {  # what each titrant is in the equations
    "acid by alkali": "NaOH",
    "alkali by acid": "HCl",
    "iodometry": "S2O3-2",
    "permanganate": "MnO4-",
    "complexometry": "C10H12N2O8-4",
    "complexometry by back titration": "C10H12N2O8-4",
    "halide by silver": "Ag+",
    "halide by back titration": "Ag+",
    "silver by thiocyanate": "SCN-",
    "sodium hydroxide": "NaOH",
    "potassium hydroxide": "KOH",
    "hydrogen chloride": "HCl",
    "sulfuric acid": "H2SO4",
    "sodium thiosulfate": "S2O3-2",
    "potassium permanganate": "MnO4-",
    "disodium EDTA": "C10H12N2O8-4",
    "silver nitrate": "Ag+",
    "potassium thiocyanate": "SCN-",
}
ROWS = [(r.method, r.equations, r.ratio) for r in load_counted()] + [
    (r.titrant, r.equations, 1 / r.ratio) for r in load_standards()
]


@pytest.mark.parametrize(("of", "equations", "ratio"), ROWS, ids=lambda v: str(v)[:40])
def test_the_equations_balance_and_give_the_ratio(of, equations, ratio):
    """Following what is titrated from equation to equation: mol of it for one mol of titrant."""
    parsed = [parse_equation(text) for text in equations]
    for equation in parsed:
        assert isinstance(equation, Equation)
        assert check(equation) is None, equation.text
    titrant = parse_formula(TITRANT[of])
    assert not isinstance(titrant, Problem)
    amount = Fraction(1)  # of the first substance
    carried = parsed[0].left[0]
    for equation in parsed:
        (own,) = [t for t in equation.left if t.formula.same_matter(carried.formula)]
        last = [t for t in equation.left if t.formula.same_matter(titrant)]
        if last:
            assert amount * last[0].count / own.count == 1 / ratio
            return
        following = parsed[parsed.index(equation) + 1]
        carried = next(
            t for t in equation.right for n in following.left if t.formula.same_matter(n.formula)
        )
        amount *= carried.count / own.count
    pytest.fail("the titrant is in none of the equations")


def test_every_row_names_things_of_the_bank():
    bank, sources = load_bank(), read_sources()
    methods = {m.key for m in load_methods()}
    for row in load_counted():
        assert row.method in methods
        assert row.substance in bank.substances, row.substance
        assert row.source in sources
    for row in load_standards():
        assert row.name in bank.substances, row.name
        ours = parse_formula(row.formula)
        theirs = parse_formula(bank.substances[row.name].formula)
        assert not isinstance(ours, Problem)
        assert not isinstance(theirs, Problem)
        assert ours.same_matter(theirs), row.name
    for method in load_methods():
        assert method.source in sources


def test_each_titration_can_be_standardised():
    set_against = {r.titrant for r in load_standards()}
    assert {m.titrant for m in load_methods() if m.titrant} <= set_against


@pytest.mark.parametrize("method", load_methods(), ids=lambda m: m.key)
def test_the_form_of_a_method_reads_back_empty(method):
    known = {row.text("name") for row in read_table("assay_readings")}
    assert {name for name, _ in method.rows} <= known
    read = read_readings(form(method))
    assert read.problems == ()
    assert set(read.rows) == {"method"}
    found = assay("", read, load_bank())
    assert not isinstance(found, Assay)
    missing = {p.message.split("'")[1] for p in found if p.code == "assay.missing"}
    assert missing <= {name for name, _ in method.rows}
    assert missing


def test_finding_by_other_names():
    bank = load_bank()
    assert find_method("Volhard").key == "halide by back titration"
    method = find_method("acidimetry")
    assert find_counted(method, "CH3COOH", bank).substance == "acetic acid"
    assert find_standard("sodium hydroxide", "KHP", bank).ratio == 1
    unknown = find_method("acid by alkaly")
    assert isinstance(unknown, Problem)
    assert "acid by alkali" in unknown.hint
    wrong = find_counted(method, "sodium chloride", bank)
    assert isinstance(wrong, Problem)
    assert wrong.code == "assay.substance"
