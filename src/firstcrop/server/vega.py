"""The drawing library for the page: made from the installed package, kept in the user's cache."""

from __future__ import annotations

import os
import sys
import tempfile
from contextlib import suppress
from functools import cache
from pathlib import Path

VERSION = "6.4"  # of Vega-Lite
SNIPPET = "window.vegaEmbed = vegaEmbed;"


@cache
def bundle() -> bytes:
    """One script with Vega, Vega-Lite and Vega-Embed; takes some seconds the first time ever."""
    kept = _cache_folder() / f"vega-{_version()}.js"
    with suppress(OSError):
        return kept.read_bytes()
    import vl_convert  # noqa: PLC0415  (slow to load, and needed once)

    made = str(vl_convert.javascript_bundle(SNIPPET, vl_version=VERSION)).encode()
    with suppress(OSError):
        _keep(kept, made)
    return made


def _version() -> str:
    from importlib.metadata import version  # noqa: PLC0415

    return f"{version('vl-convert-python')}-{VERSION}"


def _cache_folder() -> Path:
    """Where this system's programs keep what can be made again."""
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA", str(Path.home())))
    elif sys.platform == "darwin":
        base = Path.home() / "Library" / "Caches"
    else:
        base = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
    return base / "firstcrop"


def _keep(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, temporary = tempfile.mkstemp(dir=path.parent)
    with os.fdopen(handle, "wb") as file:
        file.write(content)
    os.replace(temporary, path)
