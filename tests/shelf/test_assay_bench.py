"""By weighing, by drying, by melting point: what they assume and what they refuse."""

from __future__ import annotations

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.shelf.assay import assay
from firstcrop.shelf.assay_readings import read_readings
from firstcrop.shelf.assay_records import Assay


def _found(*rows: str):
    text = "\n".join("\t".join(row.split(" | ")) for row in rows)
    return assay("", read_readings(text), load_bank())


def _codes(*rows: str) -> list[str]:
    found = _found(*rows)
    assert not isinstance(found, Assay)
    return [p.code for p in found]


def test_atoms_are_counted_from_the_shared_element():
    """Alumina from alum: two mol of alum for one of Al2O3."""
    found = _found(
        "method | gravimetry",
        "substance | potassium alum",
        "sample | 1.0000 g | balance 0.1 mg",
        "precipitate | 0.1074 g | balance 0.1 mg",
        "weighed as | Al2O3",
    )
    assert isinstance(found, Assay)
    assert found.value == pytest.approx(2 * 0.1074 / 101.961 * 474.37, rel=1e-4)


def test_a_precipitate_in_its_crucible_is_a_difference():
    rows = ("method | gravimetry", "substance | magnesium sulfate",
            "sample | 0.4550 g | balance 0.1 mg", "weighed as | BaSO4")  # fmt: skip
    direct = _found(*rows, "precipitate | 0.6168 g | balance 0.1 mg")
    inside = _found(
        *rows, "precipitate | 20.6168 g | balance 0.1 mg", "empty | 20.0000 g | balance 0.1 mg"
    )
    assert isinstance(direct, Assay)
    assert isinstance(inside, Assay)
    assert inside.value == pytest.approx(direct.value, rel=1e-9)
    assert inside.u == pytest.approx(direct.u, rel=1e-6)


def test_a_precipitate_of_another_element_is_refused():
    rows = ("method | gravimetry", "substance | magnesium sulfate", "sample | 0.4550 g",
            "precipitate | 0.6168 g", "weighed as | AgCl")  # fmt: skip
    assert "assay.atoms" in _codes(*rows)
    assert isinstance(_found(*rows, "atoms | 0.5"), Assay)


def test_drying_cannot_add_mass():
    assert "assay.impossible" in _codes("method | moisture", "before | 1.0 g", "after | 1.2 g")
    assert "assay.impossible" in _codes(
        "method | moisture", "before | 21.0 g", "after | 20.5 g", "empty | 20.8 g"
    )


def test_a_melting_point_is_compared_and_its_purity_called_rough():
    found = _found(
        "method | melting point",
        "substance | benzoic acid",
        "melting point | 120.5; 120.8; 120.6 °C | thermometer 0.5 °C",
    )
    assert isinstance(found, Assay)
    assert found.strength is None
    assert found.basis is None
    assert "below the published value" in found.says[0]
    assert "rough" in found.says[1]
    assert "assay.rough" in [p.code for p in found.problems]
    assert found.measured.half_width() > 0.01  # Walden's rule and the published value leave that
    # benzoic acid: heat of fusion 18.0 kJ/mol (handbook, from memory); Walden's rule gives 22
    better = _found(
        "method | melting point",
        "substance | benzoic acid",
        "melting point | 120.5; 120.8; 120.6 °C | thermometer 0.5 °C",
        "heat of fusion | 18.0 ± 0.2 kJ/mol",
    )
    assert isinstance(better, Assay)
    assert better.value == pytest.approx(1 - 18.0e3 * 1.767 / (8.3145 * 395.55**2), abs=1e-4)


def test_an_unknown_substance_needs_its_melting_point():
    assert "assay.missing" in _codes(
        "method | melting", "substance | naphthalene", "melting point | 79 °C"
    )


def test_a_made_up_standard_in_two_bases():
    rows = ("method | weighed standard", "substance | potassium iodate", "purity | 99.9 ± 0.1 %",
            "sample | 3.5667 g | balance 0.1 mg", "made up to | 1000 mL | flask 1 L A")  # fmt: skip
    molar, grams = _found(*rows), _found(*rows, "in | g/L")
    assert isinstance(molar, Assay)
    assert isinstance(grams, Assay)
    assert molar.value == pytest.approx(0.999 * 3.5667 / 213.999 * 1e3, rel=1e-5)
    assert grams.value == pytest.approx(0.999 * 3.5667, rel=1e-5)
    assert "assay.unit" in _codes(*(r.replace("3.5667 g", "3.5 mL") for r in rows))
