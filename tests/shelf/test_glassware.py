"""Ware: the classes' tolerances, how a piece is named, and what is said when it is not."""

from __future__ import annotations

import pytest

from firstcrop.bank.tables import read_sources
from firstcrop.shelf.glassware import find_piece, load_glassware
from firstcrop.shelf.gum import Shape


def test_every_row_is_sound_and_has_a_source():
    sources = read_sources()
    for piece in load_glassware():
        assert piece.nominal > 0.0, piece
        assert piece.tolerance > 0.0, piece
        assert piece.source in sources, piece
        if piece.kind in ("flask", "pipette", "burette", "cylinder"):
            assert piece.tolerance / piece.nominal < 0.06, piece
            assert piece.shape is Shape.TRIANGULAR


def test_class_b_is_never_better_and_bigger_ware_is_relatively_better():
    ware = {(p.kind, p.standard, p.nominal, p.subdivision, p.grade): p for p in load_glassware()}
    for (kind, standard, nominal, scale, grade), piece in ware.items():
        best = ware.get((kind, standard, nominal, scale, "A"))
        if grade == "B" and best is not None:
            assert best.tolerance <= piece.tolerance <= 2.7 * best.tolerance
    flasks = [p for p in load_glassware() if (p.kind, p.standard, p.grade) == ("flask", "ISO", "A")]
    relative = [p.tolerance / p.nominal for p in sorted(flasks, key=lambda p: p.nominal)]
    assert relative == sorted(relative, reverse=True)


@pytest.mark.parametrize(
    ("text", "tolerance"),  # m3: ISO 1042, 648, 385 and ASTM E288 class limits
    [
        ("flask 100 mL A", 0.1e-6),
        ("class B volumetric flask, 250 mL", 0.3e-6),
        ("25 mL pipette class A", 0.03e-6),
        ("burette 50 mL A", 0.05e-6),
        ("burette 25 mL B by 0.05 mL", 0.06e-6),
        ("burette 25 mL B", 0.1e-6),
        ("ASTM flask 100 mL A", 0.08e-6),
        ("buret 50 ml AS", 0.05e-6),
        ("flask 1 L A", 0.4e-6),
        ("piston pipette 1000 µL", 8e-9),
    ],
)
def test_a_piece_is_found_by_what_people_call_it(text, tolerance):
    piece, problems = find_piece(text)
    assert problems == ()
    assert piece is not None
    assert piece.tolerance == pytest.approx(tolerance)


def test_balances_thermometers_and_hydrometers():
    balance, _ = find_piece("balance 0.1 mg")
    assert balance is not None
    assert balance.tolerance == pytest.approx(2e-7)
    thermometer, _ = find_piece("thermometer 1 °C")
    assert thermometer is not None
    assert thermometer.u == pytest.approx(0.577, abs=1e-3)
    hydrometer, _ = find_piece("hydrometer 0.001 g/mL")
    assert hydrometer is not None
    assert hydrometer.tolerance == pytest.approx(1.0)
    assert find_piece("digital thermometer")[0] is not None


@pytest.mark.parametrize(
    ("text", "code", "words"),
    [
        ("bucket", "assay.ware-unknown", "no measuring ware"),
        ("burette", "assay.ware-size", "25 mL"),
        ("pipette 7 mL A", "assay.ware-size", "known sizes"),
        ("ASTM pipette 20 mL A", "assay.ware-class", "ASTM class A"),
    ],
)
def test_what_is_not_known_is_said(text, code, words):
    piece, (problem,) = find_piece(text)
    assert piece is None
    assert problem.code == code
    assert words in f"{problem.message} {problem.hint}"


def test_without_a_class_the_poorer_is_taken_and_told():
    piece, (note,) = find_piece("flask 100 mL")
    assert piece is not None
    assert piece.grade == "B"
    assert note.severity == "note"
