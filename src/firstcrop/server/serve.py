"""Open a folder: bind, say where, open the browser, serve until stopped."""

from __future__ import annotations

import gc
import secrets
import socket
import sys
import threading
import webbrowser
from pathlib import Path

import uvicorn

from firstcrop.problems import Problem
from firstcrop.server.app import make_app
from firstcrop.server.engine import Engine
from firstcrop.server.guard import LOOPBACK, Rules
from firstcrop.server.warm import demo_text

ANY = ("0.0.0.0", "::")


def rules_for(host: str, token: str = "") -> Rules:
    """Loopback needs no token; any other address has one, made up when none is given."""
    if host in LOOPBACK:
        return Rules(token=token)
    names = (*LOOPBACK, host.lower(), socket.gethostname().lower())
    return Rules(names, host in ANY, token or secrets.token_urlsafe(16))


def listen(host: str, port: int) -> socket.socket | Problem:
    """A listening socket; port 0 takes a free one. A Problem when the address cannot be had. The
    protocol is named because asyncio sends without delay only where it is: else 40 ms are lost."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    found = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        found.bind((host, port))
        found.listen(64)
    except (OSError, OverflowError) as error:
        found.close()
        reason = getattr(error, "strerror", None) or str(error)
        hint = "choose another with --port, or leave it out"
        return Problem("port.taken", f"{host} port {port} cannot be had: {reason}", hint=hint)
    return found


def address(host: str, port: int, token: str) -> str:
    """What to type into a browser on this machine."""
    name = "127.0.0.1" if host in ANY else f"[{host}]" if ":" in host else host
    return f"http://{name}:{port}/" + (f"enter?token={token}" if token else "")


def serve(folder: Path, host: str, port: int, token: str, browser: bool) -> Problem | None:
    """Serve until interrupted; a Problem when it cannot begin."""
    bound = listen(host, port)
    if isinstance(bound, Problem):
        return bound
    rules = rules_for(host, token)
    where = address(host, bound.getsockname()[1], rules.token)
    print(f"firstcrop has {folder} open at {where}", flush=True)
    print("Stop it with Ctrl+C.", file=sys.stderr)
    engine = Engine()
    threading.Thread(target=_ready, args=(engine,), daemon=True).start()
    if browser:
        threading.Timer(0.5, webbrowser.open, (where,)).start()
    config = uvicorn.Config(
        make_app(folder, rules, engine), log_level="warning", access_log=False,
        server_header=False, timeout_graceful_shutdown=2,
    )  # fmt: skip
    uvicorn.Server(config).run(sockets=[bound])
    return None


def _ready(engine: Engine) -> None:
    """Load what the first forecast needs, and what its bands need, before anyone asks."""
    engine.thread.submit(_warmed, engine)
    if engine.maker.get_start_method() == "forkserver":
        from multiprocessing import forkserver  # noqa: PLC0415  (not on every system)

        forkserver.ensure_running()


def _warmed(engine: Engine) -> None:
    """A first forecast; then what was loaded for it is no longer searched for garbage."""
    engine.quick(demo_text())
    gc.collect()
    gc.freeze()
