"""Beside the sheet: lanes, window, working, what if."""

from __future__ import annotations

import pytest

from sample_pages import SMALL, banded, caret_after, settled, text_of


@pytest.fixture
def picture(visit):
    page = visit("hardening-alum.md")
    page.click("#tab-picture")
    page.wait_for_selector("#picture .lanes svg")
    page.wait_for_function("() => document.querySelector('#picture .reading')")
    page.wait_for_timeout(400)
    return page


def test_pointing_at_a_time_lights_every_lane_the_step_and_its_line(picture):
    page = picture
    box = page.locator(".lanes").bounding_box()
    page.mouse.move(box["x"] + 0.55 * box["width"], box["y"] + 120)
    page.wait_for_selector(".cursor:not([hidden])")
    reading = page.inner_text(".reading")
    step = reading.split(",")[0].removeprefix("Step ")
    assert "temperature" in reading
    assert "volume" in reading
    cursor = page.locator(".cursor").bounding_box()
    assert cursor["height"] > 0.95 * box["height"]
    assert page.locator("#ledger .row.lit").get_attribute("data-step") == step
    assert page.locator("#mirror .lit").first.inner_text().startswith(f"{step}. ")
    strip = page.locator(".strip").bounding_box()
    assert strip["x"] - 2 <= cursor["x"] <= strip["x"] + strip["width"] + 2


def test_the_lanes_are_walked_by_keys_and_spoken(picture):
    page = picture
    page.focus(".lanes")
    page.keyboard.press("End")
    last = page.get_attribute(".lanes", "aria-valuetext")
    page.keyboard.press("Home")
    first = page.get_attribute(".lanes", "aria-valuetext")
    assert first.startswith("Step 1,")
    assert last.startswith("Step 13,")


def test_pointing_at_a_line_lights_its_stretch_of_the_lanes(picture):
    page = picture
    page.locator("#ledger .row").nth(3).hover()
    page.wait_for_selector(".strip:not([hidden])")
    assert page.locator("#ledger .row.lit").get_attribute("data-step") == "4"


def test_the_window_is_drawn_with_its_range_shaded(picture):
    page = picture
    assert page.locator("#picture .window svg").count() >= 1
    words = page.inner_text("#picture")
    assert "only KAl(SO4)2·12H2O crystallises" in words
    assert "Stays dissolved in this liquor, g" in page.locator(".window svg").first.inner_html()
    assert page.locator(".window svg .mark-rect path").count() >= 1


def test_an_edit_puts_new_rows_into_the_picture_that_stands(picture):
    page = picture
    page.wait_for_selector("body[data-shown='with bands']")
    page.wait_for_timeout(600)
    page.evaluate("document.querySelector('.lanes svg').dataset.first = 'yes'")
    shape = "document.querySelector('.lanes svg').innerHTML"
    before = page.evaluate(shape)
    caret_after(page, "Put 8")
    page.keyboard.press("5")
    page.wait_for_function(f"(old) => {shape} !== old", arg=before)
    assert page.get_attribute(".lanes svg", "data-first") == "yes"
    page.keyboard.press("Backspace")


def test_any_number_opens_its_working(visit):
    page = visit("hardening-alum.md")
    page.locator("#ledger .row").nth(2).locator(".figure").first.click()
    page.wait_for_selector("#working details[open]")
    working = page.inner_text("#working details[open]")
    assert "peak temperature" in working
    assert "adds up to" in working
    page.locator("#ledger .row").nth(5).get_by_role("button", name="pH of step 6").click()
    page.wait_for_function(
        "() => document.querySelector('#working details[open] summary')?.innerText.includes('pH')"
    )


def test_turning_a_number_moves_the_band_and_leaves_the_text(visit, sheet):
    page = visit(sheet(SMALL.replace("Add ? mL", "Add 40 mL").replace(" to pH 7", "")))
    before = text_of(page)
    page.click("#tab-turn")
    banded(page)
    page.wait_for_selector("#turn .shares", state="attached")
    page.select_option("#watched", label="step 2, peak temperature")
    shares = page.locator("#turn .shares meter").evaluate_all("(all) => all.map((m) => m.value)")
    assert shares == sorted(shares, reverse=True)
    assert sum(shares) <= 1.0001
    assert "acid" in page.locator("#turn .turnable label").first.inner_text()
    slider = page.get_by_label("step 2: amount of acid")
    slider.focus()
    for _ in range(6):
        page.keyboard.press("ArrowRight")
    page.wait_for_selector("#gauge .turned-words")
    assert text_of(page) == before
    page.wait_for_function(
        "() => !document.querySelector('#gauge').innerText.includes('band follows')"
    )
    written, turned = (page.locator("#gauge b").nth(i).inner_text() for i in (0, 1))
    assert "(" in turned
    assert float(turned.split()[0]) > float(written.split()[0])
    page.click("#accept .strong")
    assert "2. Add 26 mL of acid" in text_of(page)
    settled(page)
    page.keyboard.press("Control+z")
    assert text_of(page) == before


def test_a_turned_number_can_be_left(visit, sheet):
    page = visit(sheet(SMALL))
    before = text_of(page)
    page.click("#tab-turn")
    slider = page.get_by_label("Materials: strength of acid")
    slider.focus()
    page.keyboard.press("ArrowLeft")
    page.wait_for_selector("#gauge .turned-words")
    page.get_by_role("button", name="Leave the text").click()
    assert page.locator("#gauge .turned-words").count() == 0
    assert text_of(page) == before


def test_turning_by_keys_alone(visit, sheet):
    page = visit(sheet(SMALL))
    before = text_of(page)
    page.keyboard.press("Alt+4")
    slider = page.get_by_label("Materials: strength of acid")
    slider.focus()
    page.keyboard.press("ArrowRight")
    page.wait_for_selector("#gauge .turned-words")
    page.keyboard.press("Escape")
    assert page.locator("#gauge .turned-words").count() == 0
    assert text_of(page) == before
    page.keyboard.press("ArrowLeft")
    page.wait_for_selector("#gauge .turned-words")
    page.keyboard.press("Enter")
    assert "| acid | sulfuric acid | 36 ± 1 % w/w |" in text_of(page)
    page.keyboard.press("Control+z")
    assert text_of(page) == before
