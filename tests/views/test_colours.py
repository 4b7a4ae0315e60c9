"""WCAG 2.2 AA for every pair of colours: 4.5 to 1 for words, 3 to 1 for lines and edges."""

from __future__ import annotations

import re

import pytest

from firstcrop.views import chart_parts as ink
from firstcrop.views.lanes import NIGHT
from sample_colours import STYLES, contrast

LIGHT, DARK = 0, 1
WORDS = {  # what words are written in, and on what
    "--ink": ("--paper", "--ground", "--lit", "--bad-wash", "--doubt-wash"),
    "--faint": ("--paper", "--ground", "--lit", "--doubt-wash"),
    "--strong": ("--paper", "--ground"),
    "--on-strong": ("--strong",),
    "--hand": ("--paper", "--lit"),
    "--bad": ("--paper", "--ground", "--lit"),
    "--doubt": ("--paper", "--ground"),
    "--good": ("--paper", "--ground", "--lit"),
}
EDGES = {  # what is told by a line, an edge or a fill
    "--edge": ("--paper", "--ground"),
    "--liquid": ("--paper",),
    "--strong": ("--paper", "--ground", "--lit"),
    "--hand": ("--paper", "--lit"),
    "--bad": ("--paper", "--bad-wash", "--lit"),
    "--doubt": ("--paper", "--doubt-wash", "--lit"),
}


def themes() -> tuple[dict[str, str], dict[str, str]]:
    """The colours of page.css, light and dark."""
    text = (STYLES / "page.css").read_text(encoding="utf-8").partition("@media print")[0]
    blocks = re.findall(r":root[^{]*\{([^}]*)\}", text)
    read = [dict(re.findall(r"(--[a-z-]+):\s*(#[0-9a-f]{6})", block)) for block in blocks]
    light, chosen, by_system = read
    assert chosen == by_system, "dark by choice and dark by the system are two"
    return light, chosen


@pytest.mark.parametrize("theme", [LIGHT, DARK])
@pytest.mark.parametrize(("pairs", "least"), [(WORDS, 4.5), (EDGES, 3.0)])
def test_the_pages_colours_reach_aa(theme, pairs, least):
    colours = themes()[theme]
    low = {
        (one, other): round(contrast(colours[one], colours[other]), 2)
        for one, others in pairs.items()
        for other in others
        if contrast(colours[one], colours[other]) < least
    }
    assert low == {}


def test_no_style_has_a_colour_of_its_own():
    """Whatever is not on paper takes the variables, so that the pairs above are all there are."""
    for path in sorted(STYLES.glob("*.css")):
        text = path.read_text(encoding="utf-8").partition("@media print")[0]
        text = re.sub(r":root[^{]*\{[^}]*\}", "", text)
        own = re.findall(r"(?<![\w-])color:(?!\s*(?:var\(|inherit|transparent))[^;]+", text)
        own += re.findall(r"background(?:-color)?:\s*#[0-9a-f]+", text)
        assert own == [], path.name


@pytest.mark.parametrize("dark", [False, True])
def test_the_pictures_colours_reach_aa(dark):
    words = (ink.INK, ink.FAINT, ink.BROKEN)
    lines = (ink.HEAT, ink.WATER, ink.GAS, ink.ACID, *ink.SOLID)
    low = {}
    for colours, least in ((words, 4.5), (lines, 3.0)):
        for colour in colours:
            for ground in (ink.PAPER, ink.SHADE):
                pair = [NIGHT[c] if dark else c for c in (colour, ground)]
                if contrast(*pair) < least:
                    low[colour, ground] = round(contrast(*pair), 2)
    assert low == {}


def test_solids_differ_by_more_than_colour():
    assert len(set(ink.DASHES)) == len(ink.DASHES) == len(ink.SOLID)
