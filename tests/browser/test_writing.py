"""The live sheet: rows beside their steps, marks at their words, answers, completion, speed."""

from __future__ import annotations

from sample_pages import SMALL, caret_after, settled, text_of


def test_figures_stand_beside_their_step(visit):
    page = visit("hardening-alum.md")
    tops = page.evaluate(
        """() => [...document.querySelectorAll('#ledger .row')].map((row) => {
        const n = Number(row.dataset.step);
        const line = [...document.querySelectorAll('#mirror > div')]
          .find((l) => l.textContent.startsWith(n + '. '));
        return [row.getBoundingClientRect().top, line.getBoundingClientRect().top]; })"""
    )
    assert len(tops) == 13
    assert all(abs(row - line) < 1.5 for row, line in tops)
    row = page.locator("#ledger .row").nth(2)
    assert "°C" in row.inner_text()
    assert row.locator("svg.vessel").get_attribute("aria-label")


def test_the_mirror_breaks_lines_as_the_text_does(visit):
    page = visit("hardening-alum.md")
    mirror, text = page.evaluate(
        """() => [document.getElementById('mirror').scrollHeight,
        document.getElementById('text').scrollHeight]"""
    )
    assert abs(mirror - text) <= 2


def test_a_broken_limit_is_marked_at_its_words(visit, sheet):
    page = visit(sheet(SMALL))
    marked = page.locator("#mirror .broken").all_inner_texts()
    assert "".join(marked).startswith("keeping below 21 °C")
    assert page.locator("#gutter .dot.broken").first.get_attribute("data-step") == "2"
    page.locator("#gutter .dot.broken").first.click()
    assert "✗ below 21 °C: broken by" in page.inner_text("#steps")


def test_an_answer_stands_at_its_question_and_one_click_writes_it(visit, sheet):
    page = visit(sheet(SMALL))
    answer = page.locator("#blanks .answer")
    words = answer.inner_text()
    assert words.endswith(" mL")
    mark = page.locator("#mirror .blank").bounding_box()
    box = answer.bounding_box()
    assert abs(box["x"] - mark["x"]) < 12
    assert abs(box["y"] - mark["y"]) < 24
    answer.click()
    number = words.split()[0]
    assert f"Add {number} mL of lye to pH 7" in text_of(page)
    settled(page)
    assert page.locator("#blanks .answer").count() == 0
    page.keyboard.press("Control+z")
    assert "Add ? mL of lye" in text_of(page)


def test_problems_are_underlined_and_mended_by_one_click(visit, sheet):
    page = visit(sheet(SMALL.replace("20 mL of acid", "20 mL of acidd")))
    page.wait_for_selector("#mirror .error")
    page.click("#tab-remarks")
    fix = page.locator("#remarks button", has_text="write “acid”")
    fix.first.click()
    assert "20 mL of acid over 10 s" in text_of(page)
    settled(page)
    assert page.locator("#mirror .error").count() == 0


def test_completion_by_keys_alone(visit, sheet):
    page = visit(sheet(SMALL))
    caret_after(page, "in cold water.")
    page.keyboard.type("\n5. Fil")
    page.wait_for_selector("#offers:not([hidden])")
    first = page.locator("#offers [aria-selected=true]").inner_text()
    assert first.startswith("Filter")
    page.keyboard.press("Tab")
    assert text_of(page).rstrip().endswith(f"5. {first}")
    page.keyboard.type(". Add 3 mL of ly")
    page.wait_for_selector("#offers:not([hidden])")
    assert page.locator("#offers li").first.inner_text() == "lye"
    page.keyboard.press("Escape")
    assert page.locator("#offers").is_hidden()


def test_every_keystroke_is_answered(visit):
    """In the first, a middle and the last step; how soon is measured by bench/page.py."""
    page = visit("fifteen.md")
    settled(page)
    for words in ("Put 60", "Add 19", "Cool to 8"):
        page.evaluate("performance.clearMeasures()")
        caret_after(page, words)
        page.keyboard.type(".125", delay=60)
        settled(page)
        page.wait_for_function(
            "() => performance.getEntriesByName('keystroke-to-forecast').length === 4"
        )
        parts = page.evaluate(
            """() => performance.getEntriesByName('keystroke-to-forecast').map((m) =>
            [m.startTime, m.detail.asked, m.detail.answered, m.detail.shown])"""
        )
        assert all(part == sorted(part) for part in parts)
