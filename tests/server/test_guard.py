"""Who may ask: names, origins, tokens, sizes, and the headers of every answer."""

from __future__ import annotations

import warnings

import pytest
from starlette.applications import Starlette
from starlette.responses import PlainTextResponse
from starlette.routing import Route

from firstcrop.server.guard import COOKIE, Guard, Rules
from firstcrop.server.serve import address, listen, rules_for

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient


def client(rules=None, host="127.0.0.1:8000"):
    async def home(request):
        return PlainTextResponse("in")

    async def body(request):
        return PlainTextResponse(str(len(await request.body())))

    app = Starlette(routes=[Route("/", home), Route("/api", body, methods=["POST", "PUT"])])
    return TestClient(
        Guard(app, rules or Rules()), base_url=f"http://{host}", follow_redirects=False
    )


@pytest.mark.parametrize("host", ["127.0.0.1:8000", "localhost:" + "1", "[::1]:8000", "LOCALHOST"])
def test_loopback_names_are_answered(host):
    assert client().get("/", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1.evil.example", "192.168.1.5:8000", "", "localhost.evil"]
)
def test_other_names_are_not(host):
    found = client().get("/", headers={"host": host})
    assert found.status_code == 421
    assert found.json()["problem"]["code"] == "host.unknown"


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "http://127.0.0.1:9"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_another_site_may_not_post(headers):
    assert client().post("/api", content="x", headers=headers).status_code == 403


def test_our_own_page_may_post():
    headers = {"origin": "http://127.0.0.1:8000", "sec-fetch-site": "same-origin"}
    assert client().post("/api", content="x", headers=headers).status_code == 200


def test_a_link_from_elsewhere_opens_the_page_but_a_script_gets_nothing():
    visit = {"sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate"}
    assert client().get("/", headers=visit).status_code == 200
    load = {"sec-fetch-site": "cross-site", "sec-fetch-mode": "no-cors"}
    assert client().get("/", headers=load).status_code == 403


def test_what_is_too_large_is_refused_unread():
    found = client().post("/api", content=b"x" * 1_200_000)
    assert found.status_code == 413
    assert "1 MB" in found.json()["problem"]["message"]


def test_every_answer_forbids_scripts_and_styles_in_the_page():
    for found in (client().get("/"), client().get("/", headers={"host": "evil.example"})):
        policy = found.headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "script-src 'self';" in policy
        assert "style-src 'self';" in policy
        assert "unsafe" not in policy
        assert found.headers["x-content-type-options"] == "nosniff"


def test_with_a_token_nothing_is_shown_before_it():
    rules = rules_for("0.0.0.0")
    assert len(rules.token) >= 16
    asker = client(rules)
    assert asker.get("/").headers["location"] == "/enter"
    assert asker.post("/api", content="x").status_code == 401
    asker.cookies.set(COOKIE, "wrong")
    assert asker.post("/api", content="x").status_code == 401
    asker.cookies.set(COOKIE, rules.token)
    assert asker.get("/").status_code == 200


def test_loopback_needs_no_token_and_any_other_address_has_one():
    assert rules_for("127.0.0.1").token == ""
    assert rules_for("192.168.1.5").token
    assert rules_for("192.168.1.5", "chosen").token == "chosen"
    assert client(rules_for("0.0.0.0", "t"), "10.0.0.7:80").get("/").status_code == 303
    assert client(rules_for("0.0.0.0", "t"), "name.example").get("/").status_code == 421
    assert address("0.0.0.0", 80, "t") == "http://127.0.0.1:80/enter?token=t"


def test_a_port_in_use_is_said():
    bound = listen("127.0.0.1", 0)
    again = listen("127.0.0.1", bound.getsockname()[1])
    bound.close()
    assert again.code == "port.taken"
