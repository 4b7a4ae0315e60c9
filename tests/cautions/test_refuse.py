"""What is refused, and the ordinary work that must not be. Identities only."""

from __future__ import annotations

import pytest

from firstcrop.cautions.refuse import REFUSAL, refuse
from firstcrop.sheet.read import read_sheet
from firstcrop.sheet.records import Preparation

from .sheets import BANK, sheet, table

W = "Put 100 mL of water in the beaker."


def named(name: str) -> Preparation:
    """A sheet whose only material is this."""
    return sheet(f"{W}\nAdd 1 g of stuff.", stuff=name)


def aimed(makes: str) -> Preparation:
    """A sheet that says it makes this."""
    text = (
        f"# Try\n\nMakes {makes}, for a test.\n\n## Steps\n\n1. Put 10 mL of water in a beaker.\n"
    )
    return read_sheet(text).preparation


def reacting(equation: str) -> Preparation:
    """A sheet that declares this reaction."""
    text = f"# Try\n\n## Reactions\n\n- {equation}\n\n## Steps\n\n1. Stir for 1 min.\n"
    return read_sheet(text).preparation


@pytest.mark.parametrize(
    "name",
    [
        "nitroglycerin",
        "Nitroglycerine",
        "TNT",
        "RDX",
        "PETN",
        "picric acid",
        "nitrocellulose",
        "guncotton",
        "lead azide",
        "sodium azide",
        "NaN3",
        "Pb(N3)2",
        "AgN3",
        "mercury fulminate",
        "AgCNO",
        "Hg(CNO)2",
        "Ag2C2",
        "NI3",
        "NCl3",
        "acetone peroxide",
        "TATP",
        "HMTD",
        "black powder",
        "flash powder",
        "thermite",
        "ammonium perchlorate",
        "potassium perchlorate",
        "C3H5(NO3)3",
        "C3H5N3O9",
        "C7H5N3O6",
        "C5H8N4O12",
        "C6H2(NO2)3OH",
        "CH3C6H2(NO2)3",
        "sarin",
        "VX",
        "sulphur mustard",
        "phosgene",
        "thionyl chloride",
        "phosphorus trichloride",
        "potassium cyanide",
        "ricin",
        "ephedrine",
        "safrole",
        "methamphetamine",
        "7719-09-7",
    ],
)
def test_a_material_that_is_refused(name: str) -> None:
    assert refuse(named(name), BANK) == REFUSAL


@pytest.mark.parametrize(
    "makes", ["picric acid, C6H3N3O7", "silver fulminate, AgCNO", "TATP, C9H18O6", "fireworks"]
)
def test_an_aim_that_is_refused(makes: str) -> None:
    assert refuse(aimed(makes), BANK) == REFUSAL


def test_a_title_or_reaction_that_is_refused() -> None:
    assert refuse(sheet(W, title="Homemade gunpowder"), BANK) == REFUSAL
    assert refuse(sheet(W, title="Making TNT"), BANK) == REFUSAL
    assert refuse(reacting("AgNO3 + NaN3 -> AgN3 + NaNO3"), BANK) == REFUSAL


MIXTURES = table("refused_mixtures")


@pytest.mark.parametrize(("steps", "names"), MIXTURES)
def test_a_mixture_that_is_refused(steps: str, names: str) -> None:
    assert refuse(sheet(steps, *names.split(";")), BANK) == REFUSAL


@pytest.mark.parametrize("key", [k for k in BANK.substances if "chlorate" not in k])
def test_no_bench_substance_in_water_is_refused(key: str) -> None:
    assert refuse(named(key), BANK) == ""
    assert refuse(named(BANK.substances[key].formula), BANK) == ""


@pytest.mark.parametrize("name", [f.name for f in BANK.feedstocks])
def test_no_shop_product_in_water_is_refused(name: str) -> None:
    assert refuse(named(name), BANK) == ""


ORDINARY = table("ordinary")


@pytest.mark.parametrize(("steps", "names"), ORDINARY)
def test_ordinary_work_is_not_refused(steps: str, names: str) -> None:
    assert refuse(sheet(steps, *names.split(";")), BANK) == ""


@pytest.mark.parametrize(
    "title",
    [
        "Hardening alum from ring-pulls",
        "A cold pack",
        "Saltpetre from lime saltpetre",
        "Oil of wintergreen turned into salicylic acid",
        "Fixer from hypo",
        "Silver nitrate from scrap",
        "Prussian blue",
        "Glycerin soap",
        "Salted paper, 1841",
    ],
)
def test_ordinary_titles_are_not_refused(title: str) -> None:
    assert refuse(sheet(W, title=title), BANK) == ""


@pytest.mark.parametrize(
    "makes",
    [
        "Mohr's salt, (NH4)2Fe(SO4)2·6H2O",
        "ammonium oxalate, (NH4)2C2O4·H2O",
        "triammonium citrate, (NH4)3C6H5O7",
        "calcium nitrate, Ca(NO3)2·4H2O",
        "copper nitrate, Cu(NO3)2·3H2O",
        "potassium cyanate, KOCN",
        "hexamminecobalt chloride, Co(NH3)6Cl3",
        "EDTA, C10H16N2O8",
        "caffeine, C8H10N4O2",
        "magnesium nitride, Mg3N2",
        "oxalic acid, H2C2O4",
        "uric acid, C5H4N4O3",
    ],
)
def test_ordinary_aims_are_not_refused(makes: str) -> None:
    assert refuse(aimed(makes), BANK) == ""


def test_the_refusal_says_no_more_than_it_must() -> None:
    assert REFUSAL.count(".") == 1
    assert len(REFUSAL) < 200
