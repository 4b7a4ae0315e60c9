"""Reading a sheet and writing results: bad files are Problems, nothing is written by halves."""

from __future__ import annotations

import os
import sys
import tempfile
from contextlib import suppress
from pathlib import Path

from firstcrop.problems import Place, Problem

LARGEST = 1_000_000  # bytes; a sheet is a few pages of text


def read_text(name: str) -> str | Problem:
    """The text of a sheet; `-` is standard input. A Problem when it is no text to read."""
    try:
        raw = _read_bytes(name)
    except FileNotFoundError:
        return Problem("file.missing", f"there is no file “{name}”", hint=_neighbours(name))
    except IsADirectoryError:
        return Problem("file.directory", f"“{name}” is a folder", hint="name a sheet inside it")
    except OSError as error:
        reason = error.strerror or str(error)
        return Problem("file.unreadable", f"“{name}” cannot be read: {reason}")
    if len(raw) > LARGEST:
        hint = "a sheet is a page or two of Markdown; is this the right file?"
        return Problem("file.large", f"“{name}” is larger than {LARGEST // 1000} kB", hint=hint)
    return _decode(raw, name)


def _read_bytes(name: str) -> bytes:
    if name == "-":
        return sys.stdin.buffer.read(LARGEST + 1)
    with Path(name).open("rb") as file:
        return file.read(LARGEST + 1)


def _decode(raw: bytes, name: str) -> str | Problem:
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = raw[: error.start]
        line = before.count(b"\n") + 1
        column = error.start - (before.rfind(b"\n") + 1) + 1
        message = f"“{name}” is not UTF-8 text: byte {raw[error.start]:#04x} on line {line}"
        hint = "save it as UTF-8 in your editor"
        return Problem("file.encoding", message, (Place(line, column),), hint)
    if "\x00" in text:
        line = text[: text.index("\x00")].count("\n") + 1
        hint = "a sheet is a Markdown document"
        return Problem("file.binary", f"“{name}” is not a text file", (Place(line),), hint)
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _neighbours(name: str) -> str:
    """Sheets beside the missing one with a similar name."""
    from difflib import get_close_matches

    path = Path(name)
    with suppress(OSError):
        there = [entry.name for entry in path.parent.iterdir() if entry.suffix == ".md"][:500]
        near = get_close_matches(path.name, there, n=3)
        if near:
            return "did you mean " + " or ".join(str(path.parent / n) for n in near) + "?"
    return ""


def write_whole(name: str, content: bytes, force: bool) -> Problem | None:
    """Write a file in one move: first beside its place, then over it. Without `force` an
    existing file is left alone and a Problem says so."""
    path = Path(name)
    if path.is_dir():
        return Problem("file.directory", f"“{name}” is a folder", hint="name a file in it")
    if path.exists() and not force:
        hint = "choose another name, or say --force to replace it"
        return Problem("file.exists", f"“{name}” exists and is left as it is", hint=hint)
    try:
        _replace(path, content)
    except OSError as error:
        reason = error.strerror or str(error)
        return Problem("file.unwritable", f"“{name}” cannot be written: {reason}")
    return None


def _replace(path: Path, content: bytes) -> None:
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        os.chmod(temporary, _mode(path))
        os.replace(temporary, path)
    except BaseException:
        with suppress(OSError):
            os.unlink(temporary)
        raise


def _mode(path: Path) -> int:
    """The mode of the file replaced; a new one gets what the process would give."""
    if path.exists():
        return path.stat().st_mode & 0o7777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
