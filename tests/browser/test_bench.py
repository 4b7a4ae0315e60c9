"""A run at the bench in a browser: played through, cut off from the server, killed, and told."""

from __future__ import annotations

import io
import json
import os
import re
import shutil
import signal
import struct
import time
import urllib.request
import zlib

import pytest
from pypdf import PdfReader

from browser.conftest import SHEETS, Server
from browser.test_people import WRITTEN
from sample_colours import contrast

LYE = """# Lye made weaker

Makes sodium hydroxide, NaOH.

## Materials

| name | substance | strength | notes |
|---|---|---|---|
| lye | sodium hydroxide | 30 ± 2 % w/w | |

## Vessels

- beaker: 250 mL low-form beaker

## Steps

1. Put 100 mL of water in the beaker.
2. Add 20 mL of lye over 2 min, keeping below 45 °C.
3. Hold for 5 min.
"""


def png() -> bytes:
    """One black pixel (PNG, ISO/IEC 15948)."""
    chunks = ((b"IHDR", struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0)),
              (b"IDAT", zlib.compress(b"\0\0")), (b"IEND", b""))  # fmt: skip
    body = (struct.pack(">I", len(d)) + n + d + struct.pack(">I", zlib.crc32(n + d))
            for n, d in chunks)  # fmt: skip
    return b"\x89PNG\r\n\x1a\n" + b"".join(body)


@pytest.fixture(scope="module")
def bench_server(tmp_path_factory):
    folder = tmp_path_factory.mktemp("bench")
    (folder / "lye.md").write_text(LYE, encoding="utf-8")
    shutil.copy(SHEETS / "mohrs-salt.md", folder)
    made = Server(folder)
    yield made
    made.stop()


def open_bench(visit, server, **options):
    page = visit(url=server.url, **options)
    page.goto(server.url.rstrip("/") + "/bench")
    page.wait_for_selector("#start-sheet option", state="attached")
    return page


def begun(page, sheet="lye.md"):
    page.select_option("#start-sheet", sheet)
    page.fill("#start-who", "R. M.")
    page.click("text=Start a run")
    page.wait_for_selector("#step h1", timeout=60_000)
    return page


@pytest.fixture
def bench(visit, bench_server):
    return lambda **options: begun(open_bench(visit, bench_server, **options))


def write(page, kind, text):
    page.click(f"#kinds [data-kind='{kind}']")
    page.fill("#reading", text)
    page.keyboard.press("Enter")
    until(page, "!document.getElementById('pad').dataset.busy")  # the device has it


def until(page, true, seconds=20.0):
    """Ask again and again; the page's own rules forbid code made from text inside it."""
    end = time.monotonic() + seconds
    while not page.evaluate(true):
        assert time.monotonic() < end, true
        page.wait_for_timeout(50)


def kept(page):
    until(page, "document.getElementById('link').textContent === 'all kept'")


def stored(page):
    url = page.evaluate("location.origin + '/api/runs/' + location.hash.slice(1)")
    with urllib.request.urlopen(url) as answer:
        return json.load(answer)["entries"]


def texts(page):
    return [(e["kind"], e["text"]) for e in stored(page)]


def step_on(page):
    before = page.text_content("#step h1")
    page.click("#begin")
    page.click("#done")
    until(page, f"document.querySelector('#step h1').textContent !== {json.dumps(before)}")


def test_a_run_is_played_through_from_start_to_account(bench):
    page = bench()
    step_on(page)
    assert page.text_content("#step h1").startswith("Add 20 mL of lye")
    assert "below 45 °C" in page.text_content("#step .limit")
    page.click("#begin")
    assert re.match(r"\d:\d\d left of 2:00", page.text_content("#clock"))
    write(page, "temperature", "30,5")
    write(page, "pH", "13.4")
    write(page, "note", "clear, warm")
    kept(page)
    page.wait_for_selector("#drawn circle.read")
    assert "Read: 30.5 °C" in page.get_attribute("#drawn svg", "aria-label")
    page.click("#done")
    page.wait_for_selector("#step h1:has-text('Hold')")
    page.click("#kinds [data-kind='crop']")
    page.click("text=weighed dry")
    write(page, "crop", "12.5")
    kept(page)
    assert texts(page) == [
        ("step begun", ""), ("step done", ""), ("step begun", ""), ("temperature", "30,5 °C"),
        ("pH", "13.4"), ("note", "clear, warm"), ("step done", ""),
        ("crop", "12.5 g (crop 1, wet)"),
    ]  # fmt: skip
    page.click("#ask-account")
    page.wait_for_selector("#account h2")
    assert "as weighed, still wet" in page.text_content("#account")
    report = page.get_attribute("#papers a", "href")
    with urllib.request.urlopen(page.evaluate("location.origin") + report) as answer:
        assert answer.read(5) == b"%PDF-"


def test_the_demo_is_played_through_to_its_printed_report(visit, bench_server):
    page = begun(open_bench(visit, bench_server), "mohrs-salt.md")
    steps = int(page.text_content(".which span").split(" of ")[1])
    for number in range(1, steps + 1):
        page.wait_for_selector(f".which:has-text('Step {number} of {steps}')")
        page.click("#begin")
        if number == 4:
            write(page, "temperature", "70.5")
        page.click("#done")
    write(page, "crop", "38.4")
    write(page, "note", "purity crop 1: 97 ± 1 % (titration)")
    kept(page)
    page.wait_for_selector(".which:has-text('done')")
    page.click("#ask-account")
    page.wait_for_selector("#account >> text=by its assay", timeout=60_000)
    url = page.evaluate("location.origin") + page.get_attribute("#papers a", "href")
    pdf = PdfReader(io.BytesIO(page.context.request.get(url, timeout=60_000).body()))
    said = " ".join(p.extract_text() for p in pdf.pages).replace("\u200b", "")  # folds long words
    for words in ("Mohr", "38.4", "by its assay", "70.5 °C", "Where the target is", "R. M."):
        assert words in said


def test_a_correction_keeps_what_was_first_written(bench):
    page = bench()
    page.click("#begin")
    write(page, "temperature", "91")
    kept(page)
    page.click("#entries >> text=correct")
    page.fill("#reason", "read the wrong scale")
    page.fill("#reading", "19")
    page.keyboard.press("Enter")
    kept(page)
    page.wait_for_selector("#entries .struck")
    first, second = stored(page)[1:]
    assert (first["text"], first["stands"]) == ("91 °C", False)
    assert (second["text"], second["corrects"], second["reason"]) == (
        "19 °C", first["number"], "read the wrong scale"
    )  # fmt: skip


def test_a_reading_far_outside_says_what_to_do_first(bench):
    page = bench()
    step_on(page)
    page.click("#begin")
    write(page, "temperature", "88")
    page.wait_for_selector("#alarms >> text=Stop adding", timeout=60_000)
    assert "88.0 °C" in page.text_content("#alarms h2")
    assert "stronger bottle" in page.text_content("#alarms")


def test_readings_wait_on_the_device_and_arrive_once_and_in_order(bench):
    page = bench()
    page.click("#begin")
    kept(page)
    page.context.set_offline(True)
    for degrees in ("20", "21", "22"):
        write(page, "temperature", degrees)
    until(page, "document.getElementById('link').textContent.startsWith('3 readings wait')")
    assert page.locator("#entries >> text=waits on this device").count() == 3
    page.context.set_offline(False)
    kept(page)
    page.evaluate("import('/static/queue.js').then((q) => q.send())")
    assert [t for kind, t in texts(page) if kind == "temperature"] == ["20 °C", "21 °C", "22 °C"]


def test_readings_that_wait_outlive_the_page(bench):
    page = bench()
    page.context.set_offline(True)
    write(page, "note", "taken on the way")
    page.wait_for_selector("text=1 reading waits on this device")
    page.context.set_offline(False)
    page.reload()
    page.wait_for_selector("#step h1")
    kept(page)
    assert texts(page) == [("note", "taken on the way")]


def test_a_killed_server_loses_nothing_and_doubles_nothing(visit, tmp_path):
    (tmp_path / "lye.md").write_text(LYE, encoding="utf-8")
    server = Server(tmp_path)
    port = re.search(r":(\d+)/", server.url).group(1)
    try:
        page = begun(open_bench(visit, server))
        for degrees in range(20, 26):
            write(page, "temperature", str(degrees))
            if degrees == 23:
                os.kill(server.process.pid, signal.SIGKILL)
                server.process.wait(10)
        until(page, "document.getElementById('link').textContent.includes('wait')")
        server = Server(tmp_path, "--port", port)
        kept(page)
        assert [t for _, t in texts(page)] == [f"{n} °C" for n in range(20, 26)]
    finally:
        server.stop()


def test_a_photo_is_taken_and_shown(bench):
    page = bench()
    page.click("#kinds [data-kind='photo']")
    page.set_input_files("#photo", {"name": "p.png", "mimeType": "image/png", "buffer": png()})
    kept(page)
    page.wait_for_selector("#entries img")
    width = "document.querySelector('#entries img').naturalWidth"
    page.locator("#entries img").scroll_into_view_if_needed()
    until(page, f"{width} > 0")


def test_a_loggers_file_is_drawn_with_the_forecast(bench):
    page = bench()
    step_on(page)
    page.click("#begin")
    kept(page)
    log = b"time,temp\n0,20.5\n60,24\n90,oops\n120,27\n"
    page.set_input_files("#log", {"name": "l.csv", "mimeType": "text/csv", "buffer": log})
    page.wait_for_selector("#notice >> text=3 rows taken")
    until(page, "document.querySelectorAll('#drawn circle.read').length === 3")


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_on_a_phone_nothing_is_cut_off_or_pale(bench, theme):
    page = bench(width=360, height=740, color_scheme=theme)
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    for button in page.locator("#pad button:visible, #step button:visible").all():
        assert button.bounding_box()["height"] >= 44
    for colour, ground, text in page.evaluate(WRITTEN):
        assert contrast(colour, ground) >= 4.5, f"{text}: {colour} on {ground}"
    page.evaluate("scrollTo(0, document.body.scrollHeight)")
    pad = page.locator("#pad").bounding_box()["y"]
    last = page.locator("#papers").bounding_box()
    assert last["y"] + last["height"] <= pad


def test_two_benches_see_each_others_readings(bench, visit, bench_server):
    one = bench()
    two = visit(url=bench_server.url)
    two.goto(one.url)
    two.wait_for_selector("#step h1")
    write(one, "temperature", "20")
    write(two, "temperature", "21")
    kept(one)
    kept(two)
    assert sorted(t for _, t in texts(one)) == ["20 °C", "21 °C"]
