"""Fill the slots of a wording and match whole wordings against tokens."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from firstcrop.quantity.records import Kind, Quantity
from firstcrop.sheet.lexer import Token, TokenKind, tokenize
from firstcrop.sheet.measures import fraction, measure, take, take_blank, worded
from firstcrop.sheet.names import baskets, declared, fold
from firstcrop.sheet.patterns import Node, Slot, Wording, load_vocabulary
from firstcrop.sheet.records import Amount, Blank, Equivalents, Excess, Rest

_JOINTS = frozenset({"and", "then", "of", "or", "x"})
Settings = tuple[tuple[str, object], ...]
Filling = tuple[int, Settings]


@dataclass(frozen=True, slots=True)
class Match:
    """A wording found: the token after it, and every field it sets."""

    end: int
    settings: Settings
    wording: Wording


@dataclass(frozen=True, slots=True)
class Speech:
    """A sentence's tokens and the names its sheet declares."""

    tokens: tuple[Token, ...]
    known: tuple[str, ...] = ()
    text: str = field(default="", compare=False)
    low: tuple[str, ...] = ()

    def word(self, i: int) -> str:
        """Token i in lower case, '' past the end."""
        return self.low[i] if i < len(self.low) else ""

    def kind(self, i: int) -> TokenKind | None:
        """The kind of token i, None past the end."""
        return self.tokens[i].kind if i < len(self.tokens) else None


def hear(text: str, known: tuple[str, ...] = ()) -> Speech:
    """The tokens of a text, with the names its sheet declares."""
    tokens = tokenize(text, known)
    return Speech(tokens, known, text, tuple(t.text.lower() for t in tokens))


def without_remarks(speech: Speech) -> tuple[Speech, tuple[tuple[int, int], ...]]:
    """The speech without `(...)`, and where in the text those stood (characters)."""
    kept: list[Token] = []
    remarks: list[tuple[int, int]] = []
    depth, start = 0, 0
    closing = sum(t.text == ")" for t in speech.tokens)
    for token in speech.tokens:
        if token.text == "(" and closing > depth:
            start = start if depth else token.start
            depth += 1
        elif token.text == ")" and depth:
            depth, closing = depth - 1, closing - 1
            if not depth:
                remarks.append((start, token.end))
        elif not depth:
            kept.append(token)
    low = tuple(t.text.lower() for t in kept)
    return Speech(tuple(kept), speech.known, speech.text, low), tuple(remarks)


def cut(speech: Speech, end: int) -> Speech:
    """The speech up to token `end`."""
    return Speech(speech.tokens[:end], speech.known, speech.text, speech.low[:end])


def find(group: str, speech: Speech, i: int) -> Match | None:
    """The longest wording of `group` that stands at token i; the earlier row of two as long."""
    best: Match | None = None
    for end, settings, wording in _walk(load_vocabulary().trees[group], speech, i):
        if best is None or end > best.end or (end == best.end and wording.row < best.wording.row):
            best = Match(end, wording.sets + settings, wording)
    return best


def _walk(node: Node, speech: Speech, i: int) -> Iterator[tuple[int, Settings, Wording]]:
    """Every wording below `node` that the tokens from i on spell out."""
    if node.wording is not None:
        yield i, (), node.wording
    if i >= len(speech.low):
        return
    after = node.words.get(speech.low[i])
    if after is not None:
        yield from _walk(after, speech, i + 1)
    for slot, behind in node.slots.items():
        for middle, here in fill(slot, speech, i):
            for end, rest, wording in _walk(behind, speech, middle):
                yield end, here + rest, wording


def fill(slot: Slot, speech: Speech, i: int) -> Iterator[Filling]:
    """Ways to fill a slot from token i on, longest first."""
    if i >= len(speech.tokens):
        return
    if slot.kind == "name":
        yield from _names(slot.field, speech, i)
    elif slot.kind == "word":
        if speech.kind(i) in (TokenKind.WORD, TokenKind.NAME):
            yield i + 1, ((slot.field, speech.word(i)),)
    elif slot.kind == "ph":
        if speech.word(i) == "ph":
            yield from _number(Slot("number", "pH"), speech, i + 1)
    elif slot.kind == "count":
        yield from _count(slot.field, speech, i)
    elif slot.kind == "number":
        yield from _number(slot, speech, i)
    elif slot.kind == "amount":
        found = read_amount(speech, i)
        if found is not None:
            yield found[0], ((slot.field, found[1]),)
    else:
        yield from _measured(slot, speech, i)


def _measured(slot: Slot, speech: Speech, i: int) -> Iterator[Filling]:
    i = _skip("about", speech, i)
    if i >= len(speech.tokens):
        return
    token = speech.tokens[i]
    if token.kind is TokenKind.BLANK:
        blank = take_blank(slot.kind, token.unit)
        if blank is not None:
            yield i + 1, ((slot.field, blank),)
    elif token.kind is TokenKind.QUANTITY:
        quantity = take(slot.kind, token.text) or _borrowed(slot, speech, i)
        if quantity is not None:
            yield i + 1, ((slot.field, quantity),)
    else:
        group = {"temp": "temperature", "fraction": "fraction"}.get(slot.kind, "")
        match = find(group, speech, i) if group else None
        if match is not None:
            yield match.end, ((slot.field, _meant(match.wording)),)


def _meant(wording: Wording) -> Quantity:
    value = wording.get("value")
    return fraction(float(value)) if value[0].isdigit() else worded(value) or fraction(0.0)


def _borrowed(slot: Slot, speech: Speech, i: int) -> Quantity | None:
    """The 40 of "between 40 and 50 °C": the unit stands with the second number."""
    number = measure(speech.tokens[i].text)
    if slot.kind != "temp" or speech.word(i + 1) != "and" or not isinstance(number, Quantity):
        return None
    other = take("temp", speech.word(i + 2).replace("c", "C"))
    if number.kind is not Kind.NUMBER or other is None:
        return None
    return take("temp", f"{speech.tokens[i].text} {other.unit}")


def _number(slot: Slot, speech: Speech, i: int) -> Iterator[Filling]:
    i = _skip("about", speech, i)
    if speech.kind(i) is TokenKind.BLANK and not speech.tokens[i].unit:
        yield i + 1, ((slot.field, Blank("pH" if slot.field == "pH" else "")),)
    elif speech.kind(i) is TokenKind.QUANTITY:
        text = speech.tokens[i].text
        quantity = measure(f"pH {text}" if slot.field == "pH" else text)
        if isinstance(quantity, Quantity) and quantity.kind in (Kind.NUMBER, Kind.PH):
            yield i + 1, ((slot.field, quantity),)


def _count(name: str, speech: Speech, i: int) -> Iterator[Filling]:
    token = speech.tokens[i]
    match = find("count", speech, i)
    if match is not None:
        yield match.end, ((name, int(match.wording.get("value"))),)
    elif token.kind is TokenKind.BLANK and not token.unit:
        yield i + 1, ((name, Blank(name)),)
    elif token.kind is TokenKind.QUANTITY and token.text.isascii() and token.text.isdigit():
        yield i + 1, ((name, int(token.text)),)


def read_amount(speech: Speech, i: int) -> tuple[int, Amount] | None:
    """An amount at token i: `5 mL`, `? g`, `1.1 equiv`, `half`, `the rest`, `an excess`."""
    match = find("amount", speech, i)
    if match is not None:
        return match.end, _portion(match)
    i = _skip("about", speech, i)
    if speech.kind(i) is TokenKind.BLANK:
        unit = speech.tokens[i].unit
        return (i + 1, Blank(unit)) if not unit or take_blank("amount", unit) else None
    if speech.kind(i) is not TokenKind.QUANTITY:
        return None
    text = speech.tokens[i].text
    quantity = take("amount", text) or take("fraction", text)
    if quantity is None:
        return None
    amount = Equivalents(quantity) if quantity.kind is Kind.EQUIVALENTS else quantity
    return i + 1, amount


def _portion(match: Match) -> Amount:
    wording = match.wording
    if wording.get("rest"):
        return Rest()
    if wording.get("excess"):
        return Excess()
    over = dict(match.settings).get("over")
    if isinstance(over, Quantity):  # a 10 % excess: 1.1 equivalents
        count = round(1.0 + over.value, 12)
        return Equivalents(Quantity(count, Kind.EQUIVALENTS, over.band, "equiv"))
    return fraction(float(wording.get("fraction")))


def _skip(group: str, speech: Speech, i: int) -> int:
    while (match := find(group, speech, i)) is not None:
        i = match.end
    return i


def _names(name: str, speech: Speech, i: int) -> Iterator[Filling]:
    i = _skip("noise", speech, i)
    settings: Settings = ()
    while speech.kind(i) is TokenKind.WORD and (adjective := find("adjective", speech, i)):
        settings += tuple(_adjective(k, v) for k, v in adjective.settings)
        i = _skip("noise", speech, adjective.end)
    first = i
    if speech.kind(i) is TokenKind.QUANTITY and take("volume", speech.tokens[i].text):
        i += 1  # "a 250 mL beaker"
    ends = list(_run(speech, i))
    for end in reversed(ends):
        yield end, ((name, spelled(speech, first, end)), *settings)


def _adjective(key: str, value: object) -> tuple[str, object]:
    return (key, worded(str(value))) if key == "at" else (key, True)


def _run(speech: Speech, i: int) -> Iterator[int]:
    """Ends of the names that start at token i: words up to the start of another phrase."""
    stops = load_vocabulary().stops
    start = i
    while i < len(speech.tokens):
        kind, word = speech.kind(i), speech.word(i)
        if kind is TokenKind.NAME or (
            kind is TokenKind.WORD and word not in stops and word not in _JOINTS
        ):
            i += 1
        elif i > start and word == "of" and speech.kind(i + 1) is TokenKind.WORD:
            i += 2
        elif i > start and kind is TokenKind.QUANTITY and word.isdigit():
            i += 1
        else:
            return
        yield i


def spelled(speech: Speech, start: int, end: int) -> str:
    """The name in tokens start to end: declared spelling, Basket word, or as written."""
    text = " ".join(t.text for t in speech.tokens[start:end])
    return declared(text, speech.known) or baskets().get(fold(text), fold(text))
