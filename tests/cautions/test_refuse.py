"""What is refused, and the ordinary work that must not be. Identities only."""

from __future__ import annotations

import pytest

from firstcrop.bank.lookup import plain_name
from firstcrop.bank.mixing import load_stops
from firstcrop.cautions.refuse import REFUSAL, refuse, refused_name
from firstcrop.cautions.structure import forbidden_line
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


DISGUISED = ("nitro-glycerin", "Nitro glycerine", "nitro\u200bglycerin", "TRI-NITRO-TOLUENE",
             "N.I.T.R.O.G.L.Y.C.E.R.I.N", "sulfur  mustard", "sulphur-mustard")  # fmt: skip


@pytest.mark.parametrize("name", DISGUISED)
def test_a_name_broken_up_is_still_that_name(name: str) -> None:
    assert refuse(named(name), BANK) == REFUSAL
    assert refuse(aimed(name), BANK) == REFUSAL
    assert refused_name(name) == REFUSAL


STRUCTURES = ("C4H10FO2P", "C4H8Cl2S", "C5H11Cl2N", "C6H12Cl3N", "C2H2AsCl3", "C11H26NO2PS",
              "KClO4", "NH4ClO4", "NH4ClO3", "NH4MnO4", "KN3")  # fmt: skip


@pytest.mark.parametrize("formula", STRUCTURES)
def test_a_formula_alone_is_enough(formula: str) -> None:
    assert refuse(named(formula), BANK) == REFUSAL
    assert refuse(reacting(f"{formula} -> {formula}"), BANK) == REFUSAL


HARMLESS = ("C6H5Cl2N", "C3H8O", "C12H22O11", "KClO3", "KMnO4", "C8H9NO", "C6H12O6", "CO(NH2)2",
            "C2H5NO2", "NH4NO3", "KNO3", "C9H8O4", "C4H9NO2S", "C10H16N5O13P3")  # fmt: skip


@pytest.mark.parametrize("formula", HARMLESS)
def test_a_harmless_formula_is_not(formula: str) -> None:
    assert refused_name(formula) == ""


def test_a_structure_written_as_a_line_is_read() -> None:
    for line in ("CP(=O)(OC(C)C)F", "ClCCSCCCl", "CN=[N+]=[N-]"):
        assert forbidden_line(line)
    for line in ("CCO", "OS(=O)(=O)O", "CC(=O)Oc1ccccc1C(=O)O", "OO", "c1ccccc1[N+](=O)[O-]"):
        assert not forbidden_line(line)


def test_no_bench_substance_or_product_is_refused_by_itself() -> None:
    for substance in BANK.substances.values():
        for text in (substance.key, *substance.names, substance.formula, substance.cas):
            assert refused_name(text) == "", (substance.key, text)
    for product in BANK.feedstocks:
        for text in (product.name, *product.names):
            assert refused_name(text) == "", text


def test_the_refusal_holds_no_particulars() -> None:
    assert REFUSAL.count(".") == 1
    for stop in load_stops():
        assert plain_name(stop.name) not in REFUSAL.lower() or len(stop.name) < 10
