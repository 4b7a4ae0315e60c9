"""For people: first visit, keys, names, contrast, small screens, paper."""

from __future__ import annotations

import pytest

from sample_pages import SMALL, caret_after, settled, text_of

PAIRS = (
    ("--ink", "--paper"), ("--ink", "--ground"), ("--faint", "--paper"), ("--faint", "--ground"),
    ("--strong", "--paper"), ("--on-strong", "--strong"), ("--hand", "--paper"),
    ("--bad", "--paper"), ("--ink", "--bad-wash"), ("--doubt", "--paper"),
    ("--ink", "--doubt-wash"), ("--good", "--paper"), ("--ink", "--lit"), ("--faint", "--lit"),
    ("--bad", "--lit"), ("--hand", "--lit"),
)  # fmt: skip


def luminance(color: str) -> float:
    """WCAG 2.2, relative luminance of #rrggbb."""
    parts = [int(color[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_colours_reach_aa(visit, scheme):
    page = visit(color_scheme=scheme)
    style = "getComputedStyle(document.documentElement).getPropertyValue('{}').trim()"
    low = {}
    for pair in PAIRS:
        ratio = contrast(*(page.evaluate(style.format(name)) for name in pair))
        if ratio < 4.5:
            low[pair] = round(ratio, 2)
    assert low == {}


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


def test_every_control_has_a_name(visit):
    page = visit("hardening-alum.md")
    for tab in ("steps", "picture", "turn", "remarks"):
        page.click(f"#tab-{tab}")
        page.wait_for_timeout(500)
        nameless = page.evaluate(
            """() => [...document.querySelectorAll('button, input, select, textarea, .lanes')]
            .filter((e) => e.offsetParent && !(e.innerText?.trim() || e.labels?.length
              || e.getAttribute('aria-label'))).map((e) => e.outerHTML.slice(0, 80))"""
        )
        assert nameless == []
    assert page.get_attribute("html", "lang") == "en"


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


def test_a_phone_takes_writing(visit, sheet):
    page = visit(sheet(SMALL), width=360, height=740, has_touch=True)
    answer = page.locator("#blanks .answer")
    answer.tap()
    assert "?" not in text_of(page)
    settled(page)


def test_on_paper_only_the_sheet_is_left(visit):
    page = visit("hardening-alum.md")
    page.emulate_media(media="print")
    assert page.locator("#text").is_visible()
    assert page.locator("#ledger .row").first.is_visible()
    for gone in (".bar", ".tabs", ".side"):
        assert not page.locator(gone).is_visible()


def test_light_and_dark_by_choice(visit):
    page = visit(color_scheme="light")
    page.click("#theme")
    assert page.get_attribute("html", "data-theme") == "dark"
    page.reload()
    assert page.get_attribute("html", "data-theme") == "dark"
