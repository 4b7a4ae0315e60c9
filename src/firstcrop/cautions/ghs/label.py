"""What stands on a label: statements, signal word, pictograms, precautions (UN GHS 1.4.10)."""

from __future__ import annotations

import math

from firstcrop.bank.ghs import load_precautions
from firstcrop.bank.hazards import load_statements
from firstcrop.cautions.ghs.classify import classify
from firstcrop.cautions.ghs.ingredient import Ingredient
from firstcrop.cautions.records import HazardLine, Label

BRIEF = 6  # precautions that a label shows at most (CLP Article 28(3))
MILDER_SIGNAL = (("H228", 2), ("H272", 3))  # categories whose signal word is Warning
EYES_SKIN = ("H315", "H319")
SENSITISING = ("H317", *EYES_SKIN)
# (a precaution, the weaker ones it makes needless)
STRONGER = (
    ("P260", ("P261",)),
    ("P301+P310", ("P301+P312",)),
    ("P310", ("P312",)),
    ("P308+P311", ("P312", "P308+P313")),
    ("P303+P361+P353", ("P302+P352",)),
    ("P361+P364", ("P362+P364",)),
)


def label(
    name: str,
    kind: str,
    ingredients: tuple[Ingredient, ...],
    ph: float = math.nan,
    form: str = "vapour",
    step: int = 0,
) -> Label:
    """Classify a mixture and say what its label shows."""
    classes = classify(ingredients, ph, form)
    statements = load_statements()
    lines = tuple(
        HazardLine(code, statements[code].text, statements[code].kind, why)
        for code, why in sorted(classes.found)
        if code in statements
    )
    codes = tuple(line.code for line in lines)
    precautions = precautions_of(codes)
    return Label(
        name=name,
        kind=kind,
        step=step,
        ingredients=tuple((i.name, i.share) for i in ingredients),
        signal=_signal(codes, ingredients),
        pictograms=_pictograms(codes),
        hazards=lines,
        precautions=precautions,
        brief=_brief(precautions),
        gaps=classes.gaps,
    )


def precautions_of(codes: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """(P code, text) of everything the hazard statements call for."""
    statements, texts = load_statements(), load_precautions()
    wanted = {p for code in codes for p in statements[code].precautions}
    for strong, weaker in STRONGER:
        if strong in wanted:
            wanted -= set(weaker)
    return tuple((p, texts[p].text) for p in sorted(wanted) if p in texts)


def _brief(precautions: tuple[tuple[str, str], ...]) -> tuple[tuple[str, str], ...]:
    rank = load_precautions()
    return tuple(sorted(precautions, key=lambda p: (rank[p[0]].rank, p[0]))[:BRIEF])


def _signal(codes: tuple[str, ...], ingredients: tuple[Ingredient, ...]) -> str:
    statements = load_statements()
    words = {_word(code, ingredients) or statements[code].signal for code in codes}
    return "Danger" if "Danger" in words else "Warning" if "Warning" in words else ""


def _word(code: str, ingredients: tuple[Ingredient, ...]) -> str:
    """The signal word of a code with two categories, by the ingredient that brings it."""
    milder = dict(MILDER_SIGNAL).get(code)
    if milder is None:
        return ""
    brought = [i for i in ingredients if code in i.codes]
    mild = all(i.detail.categories.get(code, milder) >= milder for i in brought)
    return "Warning" if mild else "Danger"


def _pictograms(codes: tuple[str, ...]) -> tuple[str, ...]:
    """By code, less those the precedence of UN GHS 1.4.10.5.3.1 leaves out."""
    statements = load_statements()
    shown = {code: statements[code].pictogram for code in codes if statements[code].pictogram}
    corrodes = "H314" in shown or "H318" in shown
    mild = {code for code, picture in shown.items() if picture == "GHS07"}
    if "GHS06" in shown.values():
        mild = set()
    if corrodes:
        mild -= set(EYES_SKIN)
    if "H334" in shown:
        mild -= set(SENSITISING)
    grave = {picture for picture in shown.values() if picture != "GHS07"}
    return tuple(sorted(grave | ({"GHS07"} if mild else set())))
