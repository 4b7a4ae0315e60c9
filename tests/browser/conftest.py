"""A real server over a folder of sheets, and a real chromium looking at it."""

from __future__ import annotations

import os
import re
import select
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

HERE = Path(__file__).parent
SHEETS = HERE.parents[1] / "sheets"
CHROMIUM = next(
    (found for name in ("chromium", "chromium-browser", "google-chrome", "chrome")
     if (found := os.environ.get("CHROMIUM") or shutil.which(name))),
    None,
)  # fmt: skip


class Server:
    """`firstcrop open FOLDER`, stopped at the end."""

    def __init__(self, folder: Path, *options: str) -> None:
        command = [sys.executable, "-m", "firstcrop", "open", str(folder), "--no-browser", *options]
        self.folder = folder
        self.process = subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
        )
        self.url = self._address()

    def _address(self) -> str:
        assert self.process.stdout is not None
        ready, _, _ = select.select([self.process.stdout], [], [], 60)
        line = self.process.stdout.readline() if ready else ""
        found = re.search(r"http://\S+", line)
        assert found, f"the server did not start: {line!r}"
        return found.group()

    def stop(self) -> None:
        self.process.kill()
        self.process.wait(10)


@pytest.fixture(scope="session")
def server(tmp_path_factory):
    folder = tmp_path_factory.mktemp("studio")
    for path in (*SHEETS.glob("*.md"), HERE / "fifteen.md"):
        shutil.copy(path, folder)
    made = Server(folder)
    yield made
    made.stop()


@pytest.fixture(scope="session")
def chromium():
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    if CHROMIUM is None:
        pytest.skip("no chromium on this machine (apt-get install chromium, or set CHROMIUM)")
    with playwright.sync_playwright() as running:
        browser = running.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture
def visit(chromium, server):
    """Open a page; at the end nothing remote was asked for, and nothing broke the rules."""
    opened = []

    def go(name: str = "", width: int = 1440, height: int = 900, url: str = "", **context):
        room = chromium.new_context(viewport={"width": width, "height": height}, **context)
        page = room.new_page()
        page.set_default_timeout(15_000)
        seen: dict[str, list[str]] = {"errors": [], "remote": []}
        base = url or server.url
        page.on("pageerror", lambda error: seen["errors"].append(str(error)))
        page.on("dialog", lambda dialog: seen["errors"].append(f"dialog {dialog.message}"))
        page.on(
            "console",
            lambda m: seen["errors"].append(m.text) if "Content Security Policy" in m.text else 0,
        )
        page.on(
            "request",
            lambda r: None if r.url.startswith((base, "data:")) else seen["remote"].append(r.url),
        )
        opened.append((room, seen))
        page.goto(base + (f"#{name}" if name else ""))
        if name:
            page.wait_for_selector("#ledger .row, #steps .refused", state="attached")
        return page

    yield go
    for room, seen in opened:
        room.close()
        assert seen == {"errors": [], "remote": []}


@pytest.fixture
def sheet(server):
    """Write a sheet into the folder and say its name."""

    def write(text: str, name: str = "") -> str:
        name = name or f"sheet-{time.monotonic_ns()}.md"
        (server.folder / name).write_text(text, encoding="utf-8")
        return name

    return write


@pytest.fixture
def new_server():
    """Start servers of one's own."""
    made: list[Server] = []

    def start(folder: Path, *options: str) -> Server:
        made.append(Server(folder, *options))
        return made[-1]

    yield start
    for one in made:
        one.stop()
