"""What must be cautioned from the sheet alone, and what must not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from firstcrop.cautions.all import STANDING, assess
from firstcrop.forecast.records import Forecast
from firstcrop.problems import Severity

from .sheets import BANK, cautions, codes, sheet, table

W = "Put 100 mL of water in the beaker."
MUST = table("must")
MUST_NOT = table("must_not")
GRAVE = (Severity.ERROR, Severity.WARNING)


@pytest.mark.parametrize(("steps", "names", "code"), MUST)
def test_must_be_cautioned(steps: str, names: str, code: str) -> None:
    assert code in codes(sheet(steps, *(n for n in names.split(";") if n)))


@pytest.mark.parametrize(("steps", "names", "prefix"), MUST_NOT)
def test_must_not_be_cautioned(steps: str, names: str, prefix: str) -> None:
    prep = sheet(steps, *(n for n in names.split(";") if n))
    wrong = [c for c in cautions(prep) if c.code.startswith(prefix) and c.severity in GRAVE]
    assert not wrong


def test_each_pair_and_reason_comes_once() -> None:
    steps = f"{W}\nAdd 20 mL of bleach.\nAdd 10 mL of muriatic.\nAdd 10 mL of muriatic."
    found = [c for c in cautions(sheet(steps, "bleach", "muriatic")) if "bleach-acid" in c.code]
    assert len(found) == 1
    assert found[0].severity is Severity.ERROR
    assert found[0].step == 3


def test_what_clings_to_a_cake_is_less_grave_than_what_is_poured() -> None:
    steps = (
        f"{W}\nAdd 20 mL of aqua fortis.\nAdd 20 g of silver nitrate.\nCool to 5 °C.\n"
        "Filter; keep the crystals. Wash with 10 mL of acetone."
    )
    names = ("aqua fortis", "silver nitrate", "acetone")
    found = [c for c in cautions(sheet(steps, *names)) if "nitric-organic" in c.code]
    assert all(c.severity is not Severity.ERROR for c in found)


def test_gravest_first_and_every_caution_has_reason_and_remedy() -> None:
    steps = f"{W}\nAdd 20 mL of bleach.\nAdd 10 mL of muriatic.\nAdd 10 mL of spirit."
    found = cautions(sheet(steps, "bleach", "muriatic", "spirit"))
    order = ["error", "warning", "note"]
    ranks = [order.index(c.severity) for c in found]
    assert ranks == sorted(ranks)
    for caution in found:
        assert caution.message.endswith(".")
        assert caution.why
        assert caution.remedy
        assert caution.source


def test_not_assessed_names_what_was_not_looked_at_and_always_stands() -> None:
    steps = f"{W}\nAdd 5 g of mystery dust.\nAdd 2 g of lactic acid."
    _, silent = assess(Forecast(sheet(steps, "lactic acid", mystery_dust="unobtainium")), BANK)
    text = " ".join(silent)
    assert "mystery dust" in text
    assert "lactic acid" in text
    assert silent[-2:] == STANDING
    _, nothing = assess(Forecast(sheet(W)), BANK)
    assert nothing[-2:] == STANDING


def test_a_substance_nobody_grouped_is_judged_by_what_it_dissolves_into() -> None:
    """Potassium carbonate trihydrate and its like: not in the bank, defined by a sheet."""
    odd = replace(
        BANK.substances["sodium sulfite"],
        key="odd sulfite",
        names=("odd sulfite",),
        components=(("K+", 1.0), ("Na+", 1.0), ("SO3-2", 1.0)),
    )
    sour = replace(
        BANK.substances["citric acid"],
        key="odd acid",
        names=("odd acid",),
        components=(("H+", 2.0), ("SO4-2", 1.0)),
    )
    whole = replace(BANK, substances={**BANK.substances, "odd sulfite": odd, "odd acid": sour})
    prep = sheet(f"{W}\nAdd 5 g of odd sulfite.\nAdd 5 g of odd acid.", "odd sulfite", "odd acid")
    found = {caution.code for caution in assess(Forecast(prep), whole)[0]}
    assert "mixing.sulfite-acid" in found
