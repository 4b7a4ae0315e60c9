"""Who may ask what: the Host and Origin of a request, the token, its size, and the headers that
keep a page from running or loading anything but our own files."""

from __future__ import annotations

import hmac
import ipaddress
from dataclasses import dataclass
from types import MappingProxyType

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

LARGEST = 1_100_000  # bytes of a request: a sheet and a little around it
COOKIE = "firstcrop_token"
LOOPBACK = ("localhost", "127.0.0.1", "::1")
OPEN_PATHS = ("/enter", "/static/page.css")
NO_PAGES = ("/api/", "/static/", "/vega.js")
HEADERS = MappingProxyType(
    {
        "content-security-policy": "default-src 'none'; script-src 'self'; style-src 'self'; "
        "img-src 'self' data:; connect-src 'self'; base-uri 'none'; form-action 'self'; "
        "frame-ancestors 'none'",
        "x-content-type-options": "nosniff",
        "referrer-policy": "no-referrer",
        "cross-origin-opener-policy": "same-origin",
        "cross-origin-resource-policy": "same-origin",
        "cache-control": "no-store",
    }
)


@dataclass(frozen=True, slots=True)
class Rules:
    """The names the server answers to (without port), and the token it asks for ('': none)."""

    names: tuple[str, ...] = LOOPBACK
    any_address: bool = False  # also answer to a bare IP address
    token: str = ""


class Guard:
    """Refuses what the rules do not allow before anything else sees it."""

    def __init__(self, app: ASGIApp, rules: Rules) -> None:
        self.app = app
        self.rules = rules

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
            await send(message)

        refused = self.refusal(Request(scope))
        await (refused or self.app)(scope, receive, with_headers)

    def refusal(self, request: Request) -> Response | None:
        """The answer to a request that is not allowed; None for one that is."""
        if not self.known_host(request.headers.get("host", "")):
            return problem_response(421, "host.unknown", "this server does not answer to that name")
        if not same_origin(request.headers, request.method):
            return problem_response(403, "origin.other", "another site may not ask this server")
        if _too_large(request.headers):
            hint = "a sheet is a page or two of Markdown"
            return problem_response(413, "request.large", "this is more than 1 MB", hint)
        if self.rules.token and request.url.path not in OPEN_PATHS and not self.entered(request):
            if request.method == "GET" and not request.url.path.startswith(NO_PAGES):
                return RedirectResponse("/enter", 303)
            return problem_response(401, "token.missing", "enter the token shown at the start")
        return None

    def known_host(self, host: str) -> bool:
        """Whether a Host header names this server."""
        name = _without_port(host)
        return name in self.rules.names or (self.rules.any_address and _is_address(name))

    def entered(self, request: Request) -> bool:
        """Whether the browser has shown the token before."""
        return right_token(request.cookies.get(COOKIE, ""), self.rules.token)


def right_token(shown: str, token: str) -> bool:
    """Compared in constant time."""
    return hmac.compare_digest(shown.encode(), token.encode())


def _without_port(host: str) -> str:
    if host.startswith("["):
        return host[1:].partition("]")[0].lower()
    return host.partition(":")[0].lower()


def _is_address(name: str) -> bool:
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True


def same_origin(headers: Headers, method: str) -> bool:
    """A request from our own page, or a plain visit. What changes or computes something must not
    come from another site, whatever the browser."""
    origin = headers.get("origin")
    if origin is not None and origin.partition("://")[2] != headers.get("host", ""):
        return False
    site = headers.get("sec-fetch-site", "none")
    if method in ("GET", "HEAD"):
        return site != "cross-site" or headers.get("sec-fetch-mode", "") == "navigate"
    return site in ("same-origin", "none")


def _too_large(headers: Headers) -> bool:
    length = headers.get("content-length", "0")
    return not length.isdigit() or int(length) > LARGEST


def problem_response(status: int, code: str, message: str, hint: str = "") -> JSONResponse:
    """The one shape of every refusal."""
    return JSONResponse({"problem": {"code": code, "message": message, "hint": hint}}, status)
