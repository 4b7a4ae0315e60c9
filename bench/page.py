"""From a keystroke to its forecast on the screen, in a real chromium, on a sheet of fifteen steps.

Prints the distribution over edits of the first, a middle and the last step, and of what it is made:
wait (the question before it was still running), queue, forecast and rows (in the server), network,
show (reading the answer and changing the page), paint.
"""

from __future__ import annotations

import os
import random
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

SHEET = Path(__file__).parents[1] / "tests" / "browser" / "fifteen.md"
PLACES = {"first step": "Put 60", "middle step": "Add 19", "last steps": "Cool to 8"}
KEYS = int(os.environ.get("KEYS", "72"))  # keystrokes in each place
APART = 200  # ms between keystrokes
PARTS = ("wait", "queue", "forecast", "rows", "network", "show", "paint", "all")
COLLECT = """() => {
  const asked = performance.getEntriesByType('resource')
    .filter((e) => e.name.endsWith('/api/forecast'));
  const found = performance.getEntriesByName('keystroke-to-forecast').map((m) => {
    const d = m.detail;
    const r = asked.findLast((e) => e.startTime >= d.asked - 0.2
      && e.responseEnd <= d.answered + 0.2);
    const server = Object.fromEntries((r?.serverTiming ?? []).map((t) => [t.name, t.duration]));
    const inside = (server.queue ?? 0) + (server.forecast ?? 0) + (server.rows ?? 0);
    return { ...server, wait: d.asked - m.startTime, network: d.answered - d.asked - inside,
      show: d.shown - d.answered, paint: m.startTime + m.duration - d.shown, all: m.duration }; });
  performance.clearMeasures(); performance.clearResourceTimings();
  return found; }"""
REMARK = """() => { const t = document.getElementById('text'); // so that no text comes twice
  t.setRangeText(String(Math.random()).slice(2, 5), t.value.length, t.value.length, 'end');
  t.dispatchEvent(new Event('input')); }"""
CARET = """(words) => { const t = document.getElementById('text'); t.focus();
  const at = t.value.indexOf(words) + words.length; t.setSelectionRange(at, at); }"""


def typed(page, words: str) -> list[dict[str, float]]:
    """Digits after the words, four at a time, taken away again uncounted."""
    found: list[dict[str, float]] = []
    while len(found) < KEYS:
        page.evaluate(REMARK)
        page.evaluate(CARET, words)
        page.wait_for_timeout(900)  # long enough for bands to be under way at the first key
        page.evaluate(COLLECT)
        for key in f".{random.randint(100, 999)}":
            page.keyboard.press(key)
            page.wait_for_timeout(APART)
        page.wait_for_selector("body[data-shown^=with]")
        page.wait_for_timeout(100)
        found += page.evaluate(COLLECT)
        for _ in range(4):
            page.keyboard.press("Backspace")
        page.wait_for_timeout(300)
        page.wait_for_selector("body[data-shown^=with]")
    return found


def row(label: str, values: list[float]) -> str:
    cuts = statistics.quantiles(values, n=20)
    return f"{label:<14} {statistics.median(values):7.1f} {cuts[-1]:7.1f} {max(values):7.1f}"


def measured(page) -> None:
    every = {place: typed(page, words) for place, words in PLACES.items()}
    whole = [k for keys in every.values() for k in keys]
    print(f"{len(whole)} keystrokes, ms      p50     p95   worst")
    for place, keys in every.items():
        print(row(place, [k["all"] for k in keys]))
    print("of which")
    for part in PARTS:
        print(row(part, [k.get(part, 0.0) for k in whole]))


def main() -> None:
    chromium = (
        os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("google-chrome")
    )
    if chromium is None:
        print("no chromium: the page was not timed")
        return
    from playwright.sync_api import sync_playwright  # noqa: PLC0415

    with tempfile.TemporaryDirectory() as folder:
        shutil.copy(SHEET, folder)
        command = [sys.executable, "-m", "firstcrop", "open", folder, "--no-browser"]
        server = subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
        )
        try:
            said = server.stdout.readline()
            url = re.search(r"http://\S+", said)
            if url is None:
                sys.exit("the server did not start: firstcrop open says why")
            with sync_playwright() as running:
                browser = running.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
                page = browser.new_page(viewport={"width": 1440, "height": 900})
                page.goto(f"{url.group()}#{SHEET.name}")
                page.wait_for_selector("body[data-shown='with bands']", timeout=60_000)
                measured(page)
        finally:
            server.kill()
            server.wait()


main()
