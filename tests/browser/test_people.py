"""For people: first visit, keys, names, contrast, small screens, paper."""

from __future__ import annotations

import pytest

from sample_colours import contrast
from sample_pages import SMALL, banded, caret_after, settled, text_of

TABS = ("steps", "picture", "turn", "remarks")
# Every piece of text on the screen with its colour and the ground behind it, as #rrggbb.
WRITTEN = """() => {
  const canvas = Object.assign(document.createElement('canvas'), { width: 1, height: 1 })
    .getContext('2d', { willReadFrequently: true });
  const over = (layers) => { canvas.clearRect(0, 0, 1, 1);
    for (const colour of layers) { canvas.fillStyle = colour; canvas.fillRect(0, 0, 1, 1); }
    return '#' + [...canvas.getImageData(0, 0, 1, 1).data.slice(0, 3)]
      .map((n) => n.toString(16).padStart(2, '0')).join(''); };
  const clear = (c) => c === 'rgba(0, 0, 0, 0)' || c === 'transparent';
  const found = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const e = node.parentElement;
    const style = getComputedStyle(e);
    if (!node.data.trim() || !e.checkVisibility({ visibilityProperty: true })
      || e.closest('.unseen, #mirror, #text, noscript, :disabled, option, script')) continue;
    const behind = [];
    for (let up = e; up; up = up.parentElement) {
      const ground = getComputedStyle(up).backgroundColor;
      if (!clear(ground)) behind.unshift(ground);
    }
    const paint = e.namespaceURI.endsWith('svg') ? style.fill : style.color;
    found.push([over([...behind, paint]), over(behind), node.data.trim().slice(0, 30)]);
  }
  return found; }"""
CONTROLS = {"button", "link", "textbox", "slider", "combobox", "tab", "option", "listbox", "img",
            "meter", "group", "navigation", "tabpanel", "tablist"}  # fmt: skip


def open_tab(page, tab: str) -> None:
    page.click(f"#tab-{tab}")
    ready = {"picture": "#picture svg", "turn": "#turn .turnable", "steps": "#working details"}
    page.wait_for_selector(ready.get(tab, f"#{tab} h2"))


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_what_is_written_can_be_read(visit, sheet, scheme):
    """4.5 to 1 for every text as it is drawn, pictures included."""
    page = visit(color_scheme=scheme)
    page.wait_for_selector("#sheets a")
    seen = page.evaluate(WRITTEN)
    page = visit(sheet(SMALL), color_scheme=scheme)
    banded(page)
    for tab in TABS:
        open_tab(page, tab)
        seen += page.evaluate(WRITTEN)
    assert len(seen) > 150
    low = {words: (a, b) for a, b, words in seen if contrast(a, b) < 4.5}
    assert low == {}


def names(page) -> list[tuple[str, str]]:
    """Role and name of everything a screen reader is told of."""
    tree = page.context.new_cdp_session(page).send("Accessibility.getFullAXTree")["nodes"]
    return [
        (node["role"]["value"], node.get("name", {}).get("value", ""))
        for node in tree
        if not node.get("ignored") and "role" in node
    ]


def test_every_control_has_a_name_a_screen_reader_says(visit, sheet):
    page = visit(sheet(SMALL))
    banded(page)
    told = []
    for tab in TABS:
        open_tab(page, tab)
        told += names(page)
    nameless = [role for role, name in told if role in CONTROLS - {"group"} and not name.strip()]
    assert nameless == []
    assert ("textbox", "Text of the sheet") in told
    assert any(role == "slider" and name == "Time along the run" for role, name in told)
    assert any(role == "button" and name.startswith("Step 2: limit broken") for role, name in told)
    assert page.get_attribute("html", "lang") == "en"


def test_each_picture_is_told_in_words(visit):
    page = visit("hardening-alum.md")
    open_tab(page, "picture")
    words = page.locator("#lanes-words").text_content()
    for lane in ("Temperature: at most", "Volume: most in step", "Gas but steam:", "pH: at most",
                 "KAl(SO4)2·12H2O: at most"):  # fmt: skip
        assert lane in words
    assert page.get_attribute(".lanes", "aria-describedby") == "lanes-words"
    label = page.locator(".window").first.get_attribute("aria-label")
    assert "Of KAl(SO4)2·12H2O stay dissolved:" in label
    assert label.count(" g at ") >= 3


def test_tab_goes_through_the_page_as_it_is_read(visit, sheet):
    page = visit(sheet(SMALL))
    stops = []
    page.evaluate("document.activeElement.blur()")
    for _ in range(16):
        page.keyboard.press("Tab")
        stops.append(
            page.evaluate(
                """() => { const e = document.activeElement;
                return e.id || e.className || e.textContent.trim(); }"""
            )
        )
    order = ["skip", "brand", "Sheet", "undo", "theme", "tab-steps", "text", "answer"]
    places = [stops.index(name) for name in order]
    assert places == sorted(places)
    assert stops.count("figure") <= 4  # one for the ledger, the step's own after it
    assert page.locator("[tabindex]:not([tabindex='0']):not([tabindex='-1'])").count() == 0


def test_arrow_keys_walk_the_figures_and_enter_opens_their_working(visit, sheet):
    page = visit(sheet(SMALL))
    page.locator("#ledger .figure").first.focus()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowRight")
    label = page.evaluate("document.activeElement.getAttribute('aria-label')")
    assert label.startswith("end temperature of step 2")
    page.keyboard.press("Enter")
    page.wait_for_selector("#working details[open]")
    page.wait_for_function("() => document.activeElement.tagName === 'SUMMARY'")
    assert "end temperature" in page.evaluate("document.activeElement.textContent")
    page.keyboard.press("Escape")
    assert page.evaluate("document.activeElement.id") == "text"


def test_a_first_visit_needs_no_manual(visit, new_server, tmp_path):
    own = new_server(tmp_path)
    page = visit(url=own.url)
    page.wait_for_selector("#home:not([hidden])")
    page.locator("#sheets", has_text="No sheets here yet").wait_for()
    page.get_by_role("button", name="Open a sheet to try").click()
    page.wait_for_selector("#ledger .row")
    assert page.locator("#ledger .row").count() == 8
    assert page.locator("#blanks .answer").count() == 2
    assert list(tmp_path.iterdir()) == []
    page.keyboard.press("Control+s")
    page.wait_for_selector("#save:disabled")
    assert (tmp_path / "first-sheet.md").exists()


def test_all_of_it_by_keys(visit, sheet):
    page = visit(sheet(SMALL))
    page.keyboard.press("Alt+3")
    page.wait_for_selector("#picture svg")
    page.keyboard.press("Alt+5")
    assert page.get_attribute("#tab-remarks", "aria-selected") == "true"
    page.focus("#tab-remarks")
    page.keyboard.press("ArrowLeft")
    assert page.get_attribute("#tab-turn", "aria-selected") == "true"
    page.keyboard.press("F8")
    selected = page.evaluate(
        "(() => { const t = document.getElementById('text');"
        "return t.value.slice(t.selectionStart, t.selectionEnd); })()"
    )
    assert selected
    caret_after(page, "3. Add")
    page.keyboard.press("Alt+Enter")
    assert "?" not in text_of(page)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_phone_shows_all_of_it(visit, scheme):
    page = visit("mohrs-salt.md", width=360, height=740, color_scheme=scheme, has_touch=True)
    for tab in ("write", "steps", "picture", "turn", "remarks"):
        page.click(f"#tab-{tab}")
        page.wait_for_timeout(400)
        assert page.evaluate("document.documentElement.scrollWidth") <= 360, tab
    page.click("#tab-write")
    page.locator("#gutter .dot").nth(2).click()
    assert "Step 3" in page.inner_text("#steps")
    heights = page.locator(".tabs button").evaluate_all("(all) => all.map((b) => b.offsetHeight)")
    assert min(heights) >= 44


@pytest.mark.parametrize("width", [768, 1024])
def test_a_tablet_has_the_figures_beside_the_text(visit, sheet, width):
    page = visit(sheet(SMALL), width=width, height=1024, has_touch=True)
    row = page.locator("#ledger .row").nth(1)
    assert "°C" in row.inner_text()
    assert row.locator(".vessel").is_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    paper, ledger = (page.locator(at).bounding_box() for at in (".paper", "#ledger"))
    assert paper["x"] + paper["width"] <= ledger["x"] + 1
    assert paper["width"] > 1.5 * ledger["width"]


def test_nothing_moves_by_itself(visit, sheet):
    page = visit(sheet(SMALL), reduced_motion="reduce")
    open_tab(page, "picture")
    assert page.evaluate("document.getAnimations().length") == 0


def test_a_phone_takes_writing(visit, sheet):
    page = visit(sheet(SMALL), width=360, height=740, has_touch=True)
    answer = page.locator("#blanks .answer")
    answer.tap()
    assert "?" not in text_of(page)
    settled(page)


def test_on_paper_only_the_sheet_is_left(visit):
    page = visit("hardening-alum.md", color_scheme="dark")
    page.emulate_media(media="print")
    assert page.locator("#text").is_visible()
    assert page.locator("#ledger .row").first.is_visible()
    for gone in (".bar", ".tabs", ".side"):
        assert not page.locator(gone).is_visible()
    ink = "getComputedStyle(document.getElementById('text')).color"
    assert page.evaluate(ink) == "rgb(0, 0, 0)", "dark on the screen is still black on white here"
    seen = page.evaluate(WRITTEN)
    assert {words: (a, b) for a, b, words in seen if contrast(a, b) < 4.5} == {}
    head, row = (page.locator(at).first.bounding_box() for at in (".ledger-head", "#ledger .row"))
    assert head["y"] + head["height"] <= page.locator("#ledger").bounding_box()["y"]
    assert row["x"] + row["width"] <= 1440


def test_light_and_dark_by_choice(visit):
    page = visit(color_scheme="light")
    page.click("#theme")
    assert page.get_attribute("html", "data-theme") == "dark"
    page.reload()
    assert page.get_attribute("html", "data-theme") == "dark"
