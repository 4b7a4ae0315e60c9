"""Files stay the truth: saves, clashes, undo, and writing that survives a crash."""

from __future__ import annotations

from sample_pages import SMALL, caret_after, says, settled, text_of


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


def test_writing_that_was_not_saved_is_offered_back(visit, sheet):
    page = visit(sheet(SMALL))
    caret_after(page, "# Small")
    page.keyboard.type(" kept")
    page.reload()
    page.get_by_role("button", name="Look at both").click()
    assert "# Small kept" in page.inner_text("#notice .both")
    page.get_by_role("button", name="Take it up").click()
    assert text_of(page).startswith("# Small kept\n")


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
    page.get_by_role("button", name="Take it up").click()
    assert text_of(page).startswith("# Small and alone\n")
    settled(page)
