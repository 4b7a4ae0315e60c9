"""Published examples of mixture classification, as printed."""

from __future__ import annotations

import math
from pathlib import Path
from types import MappingProxyType

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.bank.ghs import Detail
from firstcrop.cautions.ghs.acute import estimate
from firstcrop.cautions.ghs.classify import classify
from firstcrop.cautions.ghs.ingredient import Ingredient, ingredient, unknown

BANK = load_bank()
LINES = (Path(__file__).parent / "ghs_mixtures.tsv").read_text(encoding="utf-8").splitlines()
ROWS = [line.split("\t") for line in LINES if line and not line.startswith("#")][1:]


def part(text: str) -> Ingredient:
    percent, _, what = text.strip().partition(" ")
    share = float(percent) / 100.0
    if what.startswith("="):
        return ingredient(BANK.substances[what[1:]], share)
    if what == "unknown":
        return unknown(what, share)
    kind, _, more = what.partition(" ")
    if kind in ("oral", "vapour"):
        route = "oral" if kind == "oral" else "inhaled"
        detail = Detail(MappingProxyType({route: float(more)}))
        return Ingredient(what, share, form="vapour", detail=detail)
    codes = () if kind == "harmless" else (kind,)
    return Ingredient(what, share, codes, inorganic=more == "inorganic")


@pytest.mark.parametrize("row", ROWS, ids=[row[0] for row in ROWS])
def test_published_mixture(row: list[str]) -> None:
    _, parts, route, ate, ph, codes, without, _ = row
    mixture = tuple(part(text) for text in parts.split(";"))
    found = classify(mixture, float(ph) if ph else math.nan)
    wanted = {c.strip() for c in codes.split(";")} - {"none"}
    assert wanted <= set(found.codes)
    assert not {c.strip() for c in without.split(";") if c.strip()} & set(found.codes)
    if codes == "none":
        assert found.codes == ()
    if ate:  # at the rounding of the source
        assert estimate(mixture, route).value == pytest.approx(float(ate), rel=0.01)


def test_the_share_of_unknown_toxicity_is_told() -> None:
    """UN example 3.1 (d): 11 % of the mixture consists of ingredients of unknown toxicity."""
    mixture = tuple(part(text) for text in ROWS[1][1].split(";"))
    assert any(gap.startswith("11 % of it") for gap in classify(mixture).gaps)
