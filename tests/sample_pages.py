"""What the browser tests do again and again on a page."""

from __future__ import annotations

SMALL = """# Small

## Materials

| name | substance | strength |
|---|---|---|
| acid | sulfuric acid | 37 ± 1 % w/w |
| lye | sodium hydroxide | 20 ± 1 % w/w |

## Vessels

- beaker: 250 mL low-form beaker

## Steps

1. Put 50 mL of water in the beaker.
2. Add 20 mL of acid over 10 s, keeping below 21 °C.
3. Add ? mL of lye to pH 7 over 20 min.
4. Cool to 15 °C in cold water.
"""


def text_of(page) -> str:
    return page.input_value("#text")


def caret_after(page, words: str) -> None:
    page.evaluate(
        """(words) => { const t = document.getElementById('text'); t.focus();
        const at = t.value.indexOf(words) + words.length; t.setSelectionRange(at, at); }""",
        words,
    )


def settled(page) -> None:
    """Until the rows shown belong to the text as it stands."""
    page.wait_for_selector("body[data-shown^=with]")


def banded(page) -> None:
    """The same, and their bands are there."""
    page.wait_for_selector("body[data-shown='with bands']")


def says(page, words: str) -> None:
    """Until the line about saving holds these words."""
    page.locator("#state", has_text=words).wait_for()
