"""Bytes to text, and the limits a text must keep before it is read."""

from __future__ import annotations

import re
from collections.abc import Iterator

from firstcrop.problems import Place, Problem
from firstcrop.sheet.mistakes import mistake

MOST_CHARACTERS = 200_000
LONGEST_LINE = 4_000
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")


def decode(data: bytes, file: str = "") -> str | Problem:
    """UTF-8 bytes (with or without a byte order mark) as text with \\n line ends.

    Too long a file is refused before it is decoded (a character has at most four bytes).
    """
    if len(data) > 4 * MOST_CHARACTERS:
        place = Place(1, 1, 1, file)
        return mistake("too-big", place, size=len(data), limit=MOST_CHARACTERS)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = data[: error.start].decode("utf-8", "replace")
        line = before.count("\n") + 1
        column = len(before) - (before.rfind("\n") + 1) + 1
        byte = f"0x{data[error.start]:02X}"
        return mistake("not-utf8", Place(line, column, 1, file), byte=byte, position=error.start)
    return normalise(text)


def normalise(text: str) -> str:
    """\\n for every line end, no byte order mark."""
    return text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")


def limits(text: str, file: str = "") -> Iterator[Problem]:
    """What makes a text unreadable as a sheet: its size, a line's length, control characters."""
    if len(text) > MOST_CHARACTERS:
        place = Place(1, 1, 1, file)
        yield mistake("too-big", place, size=len(text), limit=MOST_CHARACTERS)
        return
    for number, line in enumerate(text.split("\n"), 1):
        if len(line) > LONGEST_LINE:
            place = Place(number, LONGEST_LINE + 1, 1, file)
            yield mistake("line-too-long", place, size=len(line), limit=LONGEST_LINE)
        found = _CONTROL.search(line)
        if found:
            place = Place(number, found.start() + 1, 1, file)
            yield mistake("control-character", place, number=ord(found.group()))
