"""The shelf in a browser: by keyboard, on a small screen, mistakes told where they were made."""

from __future__ import annotations

import re
import shutil
import time

import pytest

from browser.conftest import Server
from browser.test_people import WRITTEN
from sample_colours import contrast


@pytest.fixture(scope="module")
def shelf_server(tmp_path_factory):
    made = Server(tmp_path_factory.mktemp("shelf"))
    yield made
    made.stop()


@pytest.fixture
def shelf(visit, shelf_server):
    """Open the page of a shelf the tests share: each has bottles of its own."""

    def go(**options):
        page = visit(url=shelf_server.url, **options)
        page.goto(shelf_server.url.rstrip("/") + "/shelf")
        page.wait_for_selector("#bottles li")
        return page

    return go


def add(page, **cells):
    page.click("#new")
    for name, text in cells.items():
        page.fill(f"#bottle [name='{name.replace('_', ' ')}']", text)
    page.keyboard.press("Enter")


def acid(page):
    add(
        page,
        name=f"acid {time.monotonic_ns()}",
        product="battery acid",
        size="1 L",
        strength="37 ± 1 % w/w",
    )
    page.wait_for_selector("#bottle dl")
    page.fill("#bottle form [name=who]", "Anna")


def test_a_bottle_is_added_and_drawn_from_by_keyboard_alone(shelf):
    page = shelf()
    page.focus("#new")
    page.keyboard.press("Enter")
    page.wait_for_selector("#bottle form")
    for text in ("acid 1", "battery acid", "37 ± 1 % w/w", "1 L"):
        page.keyboard.type(text)
        page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.wait_for_selector("#bottle dl")
    assert page.inner_text("#bottle h1") == "acid 1"
    page.focus("#bottle [name=amount]")
    page.keyboard.type("250 mL")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.type("Anna")
    page.keyboard.press("Enter")
    page.wait_for_selector("#bottles >> text=750 mL left")
    assert page.inner_text("#said") == "acid 1: 750 mL left"


def test_mistakes_are_told_in_the_form_and_what_was_typed_stays(shelf):
    page = shelf()
    add(page, name="x", product="batery acid", size="much")
    page.wait_for_selector("#bottle .wrong")
    told = page.inner_text("#bottle .wrong")
    assert "battery acid" in told
    assert "a mass or a volume" in told
    assert page.input_value("#bottle [name=product]") == "batery acid"


def test_a_bottle_used_up_says_so(shelf):
    page = shelf()
    acid(page)
    page.fill("#bottle [name=amount]", "2 L")
    page.click("text=Write it down")
    page.wait_for_selector("#bottle .wrong")
    assert "holds 1000 mL" in page.inner_text("#bottle .wrong")


def test_a_stock_solution_is_worked_out(shelf):
    page = shelf()
    acid(page)
    page.click("text=Make a stock solution")
    page.fill("#bottle [name=strength] >> visible=true", "1 mol/L")
    form = page.locator("form", has_text="counted as")
    form.locator("[name=amount]").fill("500 mL")
    form.get_by_role("button").click()
    page.wait_for_selector("#bottle ol")
    assert "Check the density" in page.inner_text("#bottle ol")


def test_the_form_of_an_assay_is_filled_in_and_its_mistakes_have_a_line(shelf):
    page = shelf()
    acid(page)
    page.click("text=Assay it")
    from playwright.sync_api import expect

    expect(page.locator("#bottle textarea")).to_have_value(re.compile("titre"))
    form = page.locator("form", has=page.locator("textarea"))
    form.locator("[name=who]").fill("Anna")
    form.get_by_role("button").click()
    page.wait_for_selector("#bottle .wrong")
    assert page.locator("#bottle .wrong p").count() >= 1


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_it_fits_a_small_screen_and_can_be_read(shelf, scheme):
    page = shelf(width=360, height=740, color_scheme=scheme)
    acid(page)
    for title in ("Strength over the year", "Assay it", "Change what is written"):
        page.click(f"text={title}")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    small = page.evaluate(
        "[...document.querySelectorAll('#bottle button, #all button, label.button, summary')]"
        ".filter((e) => e.getBoundingClientRect().height < 44).map((e) => e.innerText)"
    )
    assert small == []
    low = {w: (a, b) for a, b, w in page.evaluate(WRITTEN) if contrast(a, b) < 4.5}
    assert low == {}


def test_csv_in_and_what_is_wrong_in_it(shelf, tmp_path):
    page = shelf()
    good = tmp_path / "in.csv"
    good.write_text("name,product,size\nlye,caustic soda beads,500 g\n", encoding="utf-8")
    page.set_input_files("#csv", good)
    page.wait_for_selector("#bottles a[href='#lye']")
    assert "Added: lye" in page.inner_text("#notice")
    bad = shutil.copy(good, tmp_path / "bad.csv")
    bad.write_text("name,product,size\nacid,battery acid,much\n", encoding="utf-8")
    page.set_input_files("#csv", bad)
    page.wait_for_selector("#notice .wrong")
    assert "line 2" in page.inner_text("#notice")
    assert page.locator("#bottles a[href='#acid']").count() == 0


def test_what_a_run_of_a_sheet_takes_is_told_and_drawn_in_one_go(shelf, shelf_server):
    text = (
        "# Rinse\n\n## Materials\n\n| name | substance | bottle |\n|---|---|---|\n"
        "| acid | sulfuric acid | acid of the run |\n\n## Steps\n\n"
        "1. Put 50 mL of water in the beaker.\n2. Add 10 mL of acid.\n"
    )
    (shelf_server.folder / "rinse.md").write_text(text, encoding="utf-8")
    page = shelf()
    add(page, name="acid of the run", product="battery acid", size="1 L", price="20 EUR")
    page.wait_for_selector("#bottle dl")
    page.click("text=A run of a sheet")
    page.fill("#run-who", "Anna")
    page.click("text=What does it take?")
    page.wait_for_selector("#run-told table")
    assert "A run costs 0.20 EUR." in page.inner_text("#run-told")
    page.click("#run-draw")
    page.wait_for_selector("#run-told >> text=acid of the run: 990 mL left")


def test_the_label_is_told_and_bottles_to_keep_apart_are_named(shelf):
    page = shelf()
    stamp = time.monotonic_ns()
    add(page, name=f"acid {stamp}", product="battery acid", size="1 L", strength="37 ± 1 % w/w")
    page.wait_for_selector(f"#bottle h1:has-text('acid {stamp}')")
    page.click("text=Its label")
    page.wait_for_selector("#bottle >> text=H314")
    link = page.get_attribute("text=Label to print", "href")
    made = page.context.request.get(page.evaluate("location.origin") + link)
    assert made.body().startswith(b"%PDF-")
    add(page, name=f"bleach {stamp}", product="bleach", size="1 L", strength="4.5 ± 0.5 % w/w")
    page.wait_for_selector(f"#apart >> text=bleach {stamp}")
