"""Published worked examples, one file each, and the two guides' budgets side by side.

A file of `assays/` is a table of readings as anybody would write it; the lines above the table say
where the example was printed, what came out, how near we must come, and why that near.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.bank.tables import read_table
from firstcrop.quantity.bases import match_any
from firstcrop.shelf.assay import assay
from firstcrop.shelf.assay_methods import load_methods
from firstcrop.shelf.assay_readings import read_readings
from firstcrop.shelf.assay_records import Assay
from firstcrop.shelf.gum import Input, propagate

HERE = Path(__file__).parent
CASES = sorted((HERE / "assays").glob("*.md"))
BUDGETS = HERE / "quam_budgets.tsv"


def _said(text: str, what: str) -> tuple[float, str]:
    found = re.search(rf"^{what}: ([\d.]+)\s*(.*)$", text, re.MULTILINE)
    assert found, what
    return float(found[1]), found[2]


def _assay(text: str) -> Assay:
    found = assay("", read_readings(text), load_bank())
    assert isinstance(found, Assay), found
    return found


def _shown(found: Assay, unit: str, value: float) -> float:
    if unit == "mol/mol":
        return 100.0 * value
    return value / float(match_any(unit, 0).unit.factor)


@pytest.mark.parametrize("path", CASES, ids=lambda p: p.stem)
def test_the_printed_result_comes_out(path):
    text = path.read_text(encoding="utf-8")
    printed, unit = _said(text, "Printed")
    within, _ = _said(text, "Within")
    found = _assay(text)
    assert _shown(found, unit, found.value) == pytest.approx(printed, abs=within)
    assert re.search(r"^Source: .{10,}$", text, re.MULTILINE)
    assert re.search(r"^Why: .{10,}$", text, re.MULTILINE)
    assert found.u > 0.0
    assert set(found.sources) <= set(load_bank().sources)


def test_every_form_of_method_has_a_published_example():
    used = {_assay(p.read_text(encoding="utf-8")).method for p in CASES}
    forms = {m.form for m in load_methods() if m.key in used}
    # densities are compared with the published table in tests/shelf/test_assay_density.py
    assert {m.form for m in load_methods()} - forms == {"density"}


def _rows(example: str) -> list[dict[str, str]]:
    lines = [x for x in BUDGETS.read_text(encoding="utf-8").splitlines() if x[0] != "#"]
    head = lines[0].split("\t")
    rows = [dict(zip(head, line.split("\t"), strict=False)) for line in lines[1:]]
    return [row for row in rows if row["example"] == example]


EQUATIONS = {
    "A1": lambda x: 1000.0 * x["m"] * x["P"] / x["V"],
    "A2": lambda x: 1000.0 * x["rep"] * x["mKHP"] * x["PKHP"] / x["MKHP"] / x["VT"],
    "A3": lambda x: (
        1000.0 * x["rep"] * x["mKHP"] * x["PKHP"] * x["VT2"] / x["VT1"] / x["MKHP"] / x["VHCl"]
    ),
}


@pytest.mark.parametrize("example", ["A1", "A2"])
def test_the_guides_budgets_to_the_printed_digits(example):
    """The engine on the guide's own table of inputs gives the guide's result and u."""
    *given, result = _rows(example)
    inputs = [Input(r["name"], float(r["value"]), float(r["u"]), r["unit"]) for r in given]
    found = propagate(inputs, EQUATIONS[example])
    assert _as_printed(found.value, result["value"]) == result["value"]
    assert _as_printed(found.u, result["u"]) == result["u"]


def test_the_third_example_does_not_add_up_to_its_own_printed_result():
    *given, result = _rows("A3")
    inputs = [Input(r["name"], float(r["value"]), float(r["u"]), r["unit"]) for r in given]
    found = propagate(inputs, EQUATIONS["A3"])
    assert _as_printed(found.value, result["value"]) == result["value"]
    assert result["u"] == "0.00016"
    assert _as_printed(found.u, "0.00001") == "0.00019"


@pytest.mark.parametrize(
    ("example", "stem"), [("A1", "quam-a1-cadmium-standard"), ("A2", "quam-a2-sodium-hydroxide")]
)
def test_each_line_of_the_budget_from_the_raw_readings(example, stem):
    """From limits of error to each standard uncertainty. `ours` is what we print where the guide
    rounds on the way; the reason stands in the table."""
    found = _assay((HERE / "assays" / f"{stem}.md").read_text(encoding="utf-8"))
    for row in _rows(example):
        if not row["of"]:
            continue
        parts = [r for r in found.measured.rows if r.input.of in row["of"].split("; ")]
        total = sum(r.contribution**2 for r in parts) ** 0.5 / found.value * float(row["value"])
        expected = row["ours"] or row["u"]
        assert _as_printed(total, expected) == expected, row["name"]
        assert bool(row["ours"]) == bool(row["reason"])


def _as_printed(value: float, like: str) -> str:
    places = len(like.partition(".")[2])
    return f"{value:.{places}f}"


def test_the_document_shows_what_is_checked_here():
    told = (HERE.parents[1] / "docs" / "assays.md").read_text(encoding="utf-8")
    for path in CASES:
        if not path.stem.startswith("quam"):
            title = path.read_text(encoding="utf-8").splitlines()[0].removeprefix("# ")
            assert f"| {title} |" in told
    for example in ("A1", "A2"):
        for row in _rows(example):
            assert re.search(
                rf"\| {example} \| {row['name']} \| {row['value']}.*\| {row['u']} \|", told
            )
    for method in load_methods():
        assert f"| `{method.key}` |" in told
    for row in read_table("assay_readings"):
        assert f"| `{row.text('name')}` |" in told


def test_the_documents_example_is_an_assay():
    told = (HERE.parents[1] / "docs" / "assays.md").read_text(encoding="utf-8")
    (example,) = re.findall(r"```markdown\n(.*?)```", told, re.DOTALL)
    found = _assay(example)
    assert found.problems == ()
    assert found.strength is not None
    assert found.strength.unit == "% w/w"
