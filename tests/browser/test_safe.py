"""A hostile sheet, a wrong name, another site, a token."""

from __future__ import annotations

import http.client
from urllib.parse import urlsplit

from sample_pages import SMALL, settled

HOSTILE = """# <script>window.owned = 1</script><img src=x onerror="window.owned = 2">

Makes <svg onload="window.owned=3">, [x](javascript:window.owned=4), ![y](http://evil.example/p.png).

## Materials

| name | substance | strength |
|---|---|---|
| <b onmouseover="window.owned=5">acid</b> | "><script>window.owned=6</script> | <i>5</i> % w/w |
| {{7*7}} ${window.owned=7} | sulfuric acid | 10 % w/w |

## Vessels

- <iframe src="http://evil.example/">: 100 mL low-form beaker

## Steps

1. Put 50 mL of <img src=x onerror=window.owned=8> in the "><script>window.owned=9</script>.
2. Add ? mL of ${window.owned=7} to pH <style>*{display:none}</style>.
3. </textarea><script>window.owned=10</script> Heat to 40 °C.
"""


def test_a_hostile_sheet_is_only_text(visit, sheet):
    name = sheet(HOSTILE)
    page = visit(name)
    settled(page)
    for tab in ("steps", "remarks", "turn", "picture"):
        page.click(f"#tab-{tab}")
        page.wait_for_timeout(500)
    assert page.evaluate("window.owned") is None
    assert page.locator("iframe, img, main script, main style").count() == 0
    assert page.evaluate("document.getElementById('text').value") == HOSTILE
    page.click("#brand")
    page.wait_for_selector("#sheets a")
    assert "<script>window.owned = 1</script>" in page.inner_text("#sheets")
    assert page.evaluate("window.owned") is None


def raw(url: str, method: str, path: str, headers: dict[str, str], body: bytes = b""):
    where = urlsplit(url)
    connection = http.client.HTTPConnection(where.hostname, where.port, timeout=20)
    connection.putrequest(method, path, skip_host=True)
    for name, value in headers.items():
        connection.putheader(name, value)
    connection.putheader("Content-Length", str(len(body)))
    connection.endheaders(body)
    found = connection.getresponse()
    return found.status, found.read().decode()


def test_a_wrong_host_learns_nothing(server):
    for host in ("evil.example", f"evil.example:{urlsplit(server.url).port}", ""):
        status, body = raw(server.url, "GET", "/api/sheets", {"Host": host})
        assert status == 421
        assert "alum" not in body


def test_another_site_cannot_save(server, sheet):
    name = sheet(SMALL)
    headers = {"Host": urlsplit(server.url).netloc, "Origin": "http://evil.example",
               "Content-Type": "application/json"}  # fmt: skip
    status, _ = raw(server.url, "PUT", f"/api/sheets/{name}", headers, b'{"text":"x","seen":""}')
    assert status == 403
    assert (server.folder / name).read_text(encoding="utf-8") == SMALL


def test_paths_out_of_the_folder_are_refused(server):
    host = {"Host": urlsplit(server.url).netloc}
    for path in ("/api/sheets/../../etc/passwd", "/api/sheets/..%2f..%2fetc%2fpasswd",
                 "/static/../app.py", "/static/%2e%2e/%2e%2e/run.py"):  # fmt: skip
        status, body = raw(server.url, "GET", path, host)
        assert status in (400, 404)
        assert "root:" not in body
        assert "def " not in body


def test_a_sheet_too_large_says_so(visit, sheet, server):
    page = visit()
    page.goto(f"{server.url}#{sheet('# Long' + chr(10) + 'a remark' * 100_000)}")
    page.wait_for_function("() => document.getElementById('remarks').textContent.length > 20")
    page.click("#tab-remarks")
    assert "a sheet may have 200000" in page.inner_text("#remarks")


def test_elsewhere_the_token_is_asked_for(visit, new_server, tmp_path):
    (tmp_path / "a.md").write_text(SMALL, encoding="utf-8")
    own = new_server(tmp_path, "--host", "0.0.0.0", "--token", "right-one")
    base = own.url.partition("/enter")[0]
    status, body = raw(base, "GET", "/api/sheets", {"Host": urlsplit(base).netloc})
    assert status == 401
    assert "a.md" not in body
    page = visit(url=f"{base}/")
    assert "Who is there?" in page.inner_text("main")
    page.fill("#token", "wrong")
    page.keyboard.press("Enter")
    page.wait_for_selector("[role=alert]")
    page.fill("#token", "right-one")
    page.keyboard.press("Enter")
    page.wait_for_selector("#sheets a")
    assert page.evaluate("document.cookie") == ""
