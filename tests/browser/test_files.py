"""Files stay the truth: saves, clashes, undo, and writing that survives a crash."""

from __future__ import annotations

import os
import signal

from sample_pages import SMALL, caret_after, says, settled, text_of


def kill_pages(browser) -> None:
    """As when a system runs out of memory: every process that draws a page is gone."""
    session = browser.new_browser_cdp_session()
    for process in session.send("SystemInfo.getProcessInfo")["processInfo"]:
        if process["type"] == "renderer":
            os.kill(process["id"], signal.SIGKILL)


def test_a_save_by_keys_writes_the_file(visit, sheet, server):
    name = sheet(SMALL)
    page = visit(name)
    caret_after(page, "# Small")
    page.keyboard.type("er")
    says(page, "not saved")
    page.keyboard.press("Control+s")
    page.wait_for_selector("#save:disabled")
    assert (server.folder / name).read_text(encoding="utf-8").startswith("# Smaller\n")


def test_a_file_changed_underneath_is_not_overwritten(visit, sheet, server):
    name = sheet(SMALL)
    page = visit(name)
    caret_after(page, "# Small")
    page.keyboard.type(" mine")
    (server.folder / name).write_text(SMALL.replace("# Small", "# Small theirs"), encoding="utf-8")
    page.keyboard.press("Control+s")
    page.wait_for_selector("#notice .both")
    both = page.inner_text("#notice")
    assert "# Small theirs" in both
    assert "# Small mine" in both
    assert "theirs" in (server.folder / name).read_text(encoding="utf-8")
    page.get_by_role("button", name="Take the file's text").click()
    assert text_of(page).startswith("# Small theirs\n")
    page.click("#undo")
    assert text_of(page).startswith("# Small mine\n")
    page.keyboard.press("Control+s")
    page.wait_for_selector("#save:disabled")
    assert "mine" in (server.folder / name).read_text(encoding="utf-8")


def test_leaving_and_coming_back_finds_the_writing_as_it_was(visit, sheet):
    name = sheet(SMALL)
    page = visit(name)
    caret_after(page, "# Small")
    page.keyboard.type(" kept")
    page.reload()
    settled(page)
    assert text_of(page).startswith("# Small kept\n")
    page.click("#brand")
    page.locator("#sheets li", has_text="unsaved writing").locator("a").click()
    settled(page)
    assert text_of(page).startswith("# Small kept\n")
    assert page.locator("#notice").is_hidden()


def test_after_a_crash_of_page_and_server_the_writing_is_offered(visit, new_server, tmp_path):
    (tmp_path / "a.md").write_text(SMALL, encoding="utf-8")
    own = new_server(tmp_path)
    page = visit("a.md", url=own.url)
    caret_after(page, "# Small")
    page.keyboard.type(" before the end")
    own.stop()
    with page.expect_event("crash"):
        kill_pages(page.context.browser)
    again = new_server(tmp_path, "--port", own.url.rsplit(":", 1)[1].strip("/"))
    after = page.context.new_page()
    after.goto(f"{again.url}#a.md")
    after.wait_for_selector("#notice:not([hidden])", timeout=15_000)
    assert text_of(after) == SMALL
    after.get_by_role("button", name="Look at both").click()
    assert "# Small before the end" in after.inner_text("#notice .both")
    after.get_by_role("button", name="Take it up").click()
    assert text_of(after).startswith("# Small before the end\n")
    assert (tmp_path / "a.md").read_text(encoding="utf-8") == SMALL


def test_a_crashed_server_loses_no_keystroke(visit, new_server, tmp_path):
    (tmp_path / "a.md").write_text(SMALL, encoding="utf-8")
    own = new_server(tmp_path)
    page = visit("a.md", url=own.url)
    own.stop()
    caret_after(page, "# Small")
    page.keyboard.type(" and alone")
    says(page, "does not answer")
    page.keyboard.press("Control+s")
    page.wait_for_selector("#notice:not([hidden])")
    kept = page.evaluate("Object.values(localStorage).join()")
    assert "# Small and alone" in kept
    again = new_server(tmp_path, "--port", own.url.rsplit(":", 1)[1].strip("/"))
    assert again.url == own.url
    page.goto("about:blank")
    page.goto(f"{again.url}#a.md")
    settled(page)
    assert text_of(page).startswith("# Small and alone\n")
    page.keyboard.press("Control+s")
    page.wait_for_selector("#save:disabled")
    assert (tmp_path / "a.md").read_text(encoding="utf-8").startswith("# Small and alone\n")
