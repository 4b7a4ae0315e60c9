"""The vocabulary of chemical formulas: element symbols and look-alike characters.

Words only, no numbers: weights live in the bank. The symbols are those of the IUPAC periodic
table (elements 1 to 118, in order).
"""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

_TABLE: Final = (
    "H He Li Be B C N O F Ne Na Mg Al Si P S Cl Ar K Ca Sc Ti V Cr Mn Fe Co Ni Cu Zn Ga Ge As Se "
    "Br Kr Rb Sr Y Zr Nb Mo Tc Ru Rh Pd Ag Cd In Sn Sb Te I Xe Cs Ba La Ce Pr Nd Pm Sm Eu Gd Tb "
    "Dy Ho Er Tm Yb Lu Hf Ta W Re Os Ir Pt Au Hg Tl Pb Bi Po At Rn Fr Ra Ac Th Pa U Np Pu Am Cm "
    "Bk Cf Es Fm Md No Lr Rf Db Sg Bh Hs Mt Ds Rg Cn Nh Fl Mc Lv Ts Og"
)
SYMBOLS: Final[tuple[str, ...]] = tuple(_TABLE.split())
KNOWN: Final[frozenset[str]] = frozenset(SYMBOLS)
_LASTING: Final[frozenset[str]] = frozenset(SYMBOLS[:83]) - {"Tc", "Pm"} | {"Th", "U"}
_LONGEST_RUN: Final = 12  # letters
HALOGENS: Final[frozenset[str]] = frozenset({"F", "Cl", "Br", "I"})

# organic shorthand that is no element symbol, and what to write
SHORTHAND: Final = MappingProxyType(
    {"Me": "CH3", "Et": "C2H5", "Ph": "C6H5", "Bu": "C4H9", "Bz": "C6H5CO", "D": "H", "R": ""}
)

SUBSCRIPTS: Final[str] = "₀₁₂₃₄₅₆₇₈₉"
SUPERSCRIPTS: Final[str] = "⁰¹²³⁴⁵⁶⁷⁸⁹"
VULGAR: Final = MappingProxyType(
    {"½": (1, 2), "⅓": (1, 3), "⅔": (2, 3), "¼": (1, 4), "¾": (3, 4), "⅕": (1, 5), "⅙": (1, 6)}
)
DOTS: Final[str] = "·.*•∙⋅・×"
MINUSES: Final[str] = "-−–‒﹣－"
PLUSES: Final[str] = "+＋"

_PLAIN: Final = str.maketrans(
    SUBSCRIPTS + MINUSES + PLUSES, "0123456789" + "-" * len(MINUSES) + "+" * len(PLUSES)
)
_LOWERED: Final = str.maketrans("0123456789", SUBSCRIPTS)
_RAISED: Final = str.maketrans("0123456789+-", SUPERSCRIPTS + "⁺⁻")
_FROM_RAISED: Final = str.maketrans(SUPERSCRIPTS + "⁺⁻", "0123456789+-")


def plain(text: str) -> str:
    """Subscripts to digits, every minus to '-', every plus to '+'; the length stays the same."""
    return text.translate(_PLAIN)


def lowered(digits: str) -> str:
    """Digits as subscripts."""
    return digits.translate(_LOWERED)


def raised(charge: str) -> str:
    """Digits and signs as superscripts."""
    return charge.translate(_RAISED)


def from_raised(text: str) -> str:
    """Superscripts back to digits and signs; the length stays the same."""
    return text.translate(_FROM_RAISED)


def respelled(letters: str) -> tuple[str, ...]:
    """Ways to cut a run of letters into the symbols of lasting elements, capitals ignored.

    Lighter elements first: `caco` gives `CaCO`, `CaCo`; empty when there is no way.
    """
    if len(letters) > _LONGEST_RUN:
        return ()
    ways: list[list[tuple[int, str]]] = [[(0, "")]]
    for end in range(1, len(letters) + 1):
        ways.append([])
        for start in range(max(end - 2, 0), end):
            symbol = letters[start:end].capitalize()
            if symbol in _LASTING:
                number = SYMBOLS.index(symbol) + 1
                ways[end] += [(weight + number, word + symbol) for weight, word in ways[start]]
    return tuple(word for _, word in sorted(ways[-1]))


def nearest(word: str) -> tuple[str, ...]:
    """Up to three element symbols a wrong one may stand for: same first letter, then length."""
    first = word[:1].upper()
    near = [s for s in SYMBOLS if s.startswith(first)]
    near.sort(key=lambda s: (s[1:2] not in word[1:2].lower(), SYMBOLS.index(s)))
    return tuple(near[:3])
