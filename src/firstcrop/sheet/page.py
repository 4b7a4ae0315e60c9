"""Markdown -> headings, tables, lists and paragraphs, each character with its line and column.

markdown-it-py finds the blocks; inline markup is not interpreted (emphasis marks are blanked).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from itertools import pairwise

from markdown_it import MarkdownIt
from markdown_it.token import Token

from firstcrop.problems import Place

_EMPHASIS = re.compile(r"(?<![A-Za-z0-9)\]·])[*`_]+|[*`_]+(?![A-Za-z0-9(\[·])")
_MARKER = re.compile(r"\s*(?:[-+*]|\d{1,9}[.)])(?:\s+|$)")
_BAR = re.compile(r"(?<!\\)\|")


@dataclass(frozen=True, slots=True)
class Passage:
    """Text gathered from one or more lines: `pieces` are (offset, line, column) from 1."""

    text: str
    pieces: tuple[tuple[int, int, int], ...] = ((0, 1, 1),)
    file: str = ""

    def place(self, start: int = 0, end: int | None = None) -> Place:
        """The Place of characters start to end (cut at the end of the line they start on)."""
        end = len(self.text) if end is None else end
        chosen = self.pieces[0]
        limit = len(self.text)
        for piece, after in zip(self.pieces, (*self.pieces[1:], None), strict=True):
            if piece[0] <= start:
                chosen, limit = piece, after[0] - 1 if after else len(self.text)
        length = max(1, min(end, limit) - start)
        return Place(chosen[1], chosen[2] + start - chosen[0], length, self.file)

    def part(self, start: int, end: int) -> Passage:
        """Characters start to end, without the white space around them."""
        raw = self.text[start:end]
        start += len(raw) - len(raw.lstrip())
        text = raw.strip()
        first = self.place(start, start + 1)
        later = tuple((o - start, n, c) for o, n, c in self.pieces if start < o < start + len(text))
        return Passage(text, ((0, first.line, first.column), *later), self.file)

    def plain(self) -> str:
        """The text with emphasis marks blanked, position by position."""
        return _EMPHASIS.sub(lambda m: " " * len(m.group()), self.text)


@dataclass(frozen=True, slots=True)
class Item:
    """A list item: its first paragraph and the blocks under it as written, dedented."""

    passage: Passage
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Block:
    """A top-level block; `start` and `end` are line indices from 0, end excluded."""

    kind: str  # heading, table, list, numbered, paragraph, other
    start: int
    end: int
    level: int = 0
    passage: Passage = field(default=Passage("", ((0, 1, 1),)))
    rows: tuple[tuple[Passage, ...], ...] = ()
    items: tuple[Item, ...] = ()


@cache
def _parser() -> MarkdownIt:
    return MarkdownIt("commonmark").enable("table").disable(["inline", "text_join", "reference"])


def read_page(text: str, file: str = "") -> tuple[Block, ...]:
    """The top-level blocks of a Markdown text, in order."""
    lines = text.split("\n")
    tokens = _parser().parse(text)
    return tuple(_block(chunk, lines, file) for chunk in _chunks(tokens, 0) if chunk[0].map)


def _chunks(tokens: list[Token], level: int) -> Iterator[list[Token]]:
    """Runs of tokens that make one block at `level`."""
    chunk: list[Token] = []
    for token in tokens:
        chunk.append(token)
        if token.level == level and token.nesting <= 0:
            yield chunk
            chunk = []


def _block(tokens: list[Token], lines: list[str], file: str) -> Block:
    head = tokens[0]
    start, end = head.map or [0, 0]
    match head.type:
        case "heading_open":
            passage = _passage(tokens[1], lines, file)
            return Block("heading", start, end, int(head.tag[1:]), passage)
        case "paragraph_open":
            return Block("paragraph", start, end, 0, _passage(tokens[1], lines, file))
        case "table_open":
            rows = tuple(
                _cells(t.map[0], lines, file) for t in tokens if t.type == "tr_open" and t.map
            )
            return Block("table", start, end, rows=rows)
        case "bullet_list_open" | "ordered_list_open":
            kind = "list" if head.type.startswith("bullet") else "numbered"
            items = tuple(_item(c, lines, file) for c in _chunks(tokens[1:-1], 1))
            return Block(kind, start, end, items=items)
        case _:
            return Block("other", start, end)


def _passage(inline: Token, lines: list[str], file: str) -> Passage:
    """The text of an inline token, its lines joined by single spaces."""
    first = inline.map[0] if inline.map else 0
    texts, pieces, offset = [], [], 0
    for number, piece in enumerate(inline.content.split("\n"), first):
        content = piece.strip()
        column = max(0, lines[number].find(content)) if number < len(lines) else 0
        texts.append(content)
        pieces.append((offset, number + 1, column + 1))
        offset += len(content) + 1
    return Passage(" ".join(texts), tuple(pieces) or ((0, first + 1, 1),), file)


def _cells(number: int, lines: list[str], file: str) -> tuple[Passage, ...]:
    """The cells of a table row with the column each starts in."""
    line = lines[number]
    bars = [m.start() for m in _BAR.finditer(line)]
    edges = [*bars] if line.lstrip().startswith("|") else [-1, *bars]
    if not line.rstrip().endswith("|") or line.rstrip().endswith("\\|"):
        edges.append(len(line))
    cells = []
    for left, right in pairwise(edges):
        raw = line[left + 1 : right]
        column = left + 1 + len(raw) - len(raw.lstrip())
        cells.append(Passage(raw.strip().replace("\\|", "|"), ((0, number + 1, column + 1),), file))
    return tuple(cells)


def _item(tokens: list[Token], lines: list[str], file: str) -> Item:
    opener = tokens[0]
    start, end = opener.map or [0, 0]
    inner = list(_chunks(tokens[1:-1], opener.level + 1))
    if not inner or inner[0][0].type != "paragraph_open":
        column = _content_column(lines[start]) if start < len(lines) else 0
        return Item(Passage("", ((0, start + 1, column + 1),), file), _notes(start, end, lines))
    passage = _passage(inner[0][1], lines, file)
    rest = (inner[0][0].map or [0, start + 1])[1]
    return Item(passage, _notes(rest, end, lines))


def _content_column(line: str) -> int:
    match = _MARKER.match(line)
    return match.end() if match else 0


def _notes(start: int, end: int, lines: list[str]) -> tuple[str, ...]:
    """Blocks between blank lines, with their common indent taken off."""
    body = lines[start:end]
    indents = [len(x) - len(x.lstrip()) for x in body if x.strip()]
    cut = min(indents, default=0)
    text = "\n".join(x[cut:].rstrip() for x in body).strip("\n")
    return tuple(b.strip("\n") for b in re.split(r"\n{2,}", text) if b.strip())
