"""The sheets of one folder: listed, read, and saved in one move, never over a change unseen."""

from __future__ import annotations

import hashlib
import os
import re
import tempfile
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from firstcrop.problems import Problem

LARGEST = 1_000_000  # bytes of a sheet
MOST_LISTED = 500
NAME = re.compile(r"[^\x00-\x1f/\\:*?\"<>|]{1,120}\.md")
TITLE = re.compile(r"^#\s+(.*\S)", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Entry:
    """A sheet in the folder."""

    name: str
    title: str


@dataclass(frozen=True, slots=True)
class Page:
    """A sheet's text as it stands on disk; `seen` is the SHA-256 of its bytes."""

    name: str
    text: str
    seen: str


@dataclass(frozen=True, slots=True)
class Clash:
    """A save refused because the file is not what the writer last saw; None: it is gone."""

    problem: Problem
    there: Page | None


def entries(folder: Path) -> tuple[Entry, ...]:
    """The Markdown files directly in the folder, by name."""
    found = []
    with suppress(OSError):
        for path in sorted(folder.iterdir(), key=lambda p: p.name.lower())[:MOST_LISTED]:
            if NAME.fullmatch(path.name) and not path.name.startswith(".") and path.is_file():
                page = read(folder, path.name)
                if isinstance(page, Page):
                    title = TITLE.search(page.text)
                    found.append(Entry(path.name, title.group(1) if title else path.stem))
    return tuple(found)


def inside(folder: Path, name: str) -> Path | Problem:
    """The path of a sheet; a Problem for a name that is none or leads out of the folder."""
    if not NAME.fullmatch(name) or name.startswith("."):
        hint = "a plain file name that ends in .md, without slashes or leading dots"
        return Problem("name.bad", "this is no name for a sheet", hint=hint)
    path = folder / name
    if path.resolve().parent != folder.resolve():
        return Problem("name.outside", "this sheet lies outside the folder that is open")
    return path


def read(folder: Path, name: str) -> Page | Problem:
    """A sheet, or why it cannot be read."""
    path = inside(folder, name)
    if isinstance(path, Problem):
        return path
    try:
        with path.open("rb") as file:
            raw = file.read(LARGEST + 1)
    except FileNotFoundError:
        return Problem("file.missing", f"there is no sheet “{name}” in this folder")
    except OSError as error:
        return Problem("file.unreadable", f"“{name}” cannot be read: {error.strerror or error}")
    if len(raw) > LARGEST:
        return Problem("file.large", f"“{name}” is larger than {LARGEST // 1000} kB")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        hint = "save it as UTF-8 in your editor"
        return Problem("file.encoding", f"“{name}” is not UTF-8 text", hint=hint)
    return Page(name, text.replace("\r\n", "\n").replace("\r", "\n"), digest(raw))


def digest(raw: bytes) -> str:
    """SHA-256 in hexadecimal."""
    return hashlib.sha256(raw).hexdigest()


def save(folder: Path, name: str, text: str, seen: str) -> Page | Problem | Clash:
    """Write a sheet whole. `seen` is what the writer last saw, '' for a new file; anything else
    on disk is a Clash and stays as it is. Line ends stay as the file had them."""
    path = inside(folder, name)
    if isinstance(path, Problem):
        return path
    try:
        before = path.read_bytes() if path.exists() else None
        if (digest(before) if before is not None else "") != seen:
            return _clash(folder, name, before is not None)
        ends = "\r\n" if before is not None and b"\r\n" in before else "\n"
        raw = text.replace("\n", ends).encode()
        if len(raw) > LARGEST:
            return Problem("file.large", f"a sheet holds at most {LARGEST // 1000} kB")
        _replace(path, raw)
    except OSError as error:
        return Problem("file.unwritable", f"“{name}” cannot be saved: {error.strerror or error}")
    return Page(name, text, digest(raw))


def _clash(folder: Path, name: str, exists: bool) -> Clash:
    there = read(folder, name) if exists else None
    words = "was changed by another program" if exists else "is no longer there"
    hint = "look at both texts and choose; nothing has been written"
    problem = Problem("file.changed", f"“{name}” {words} since it was opened", hint=hint)
    return Clash(problem, there if isinstance(there, Page) else None)


def _replace(path: Path, raw: bytes) -> None:
    """Beside its place first, then over it: a crash leaves the old sheet or the new one."""
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(raw)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, path.stat().st_mode & 0o7777 if path.exists() else 0o644)
        os.replace(temporary, path)
    except BaseException:
        with suppress(OSError):
            os.unlink(temporary)
        raise
