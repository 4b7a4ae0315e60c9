"""Rules over formulas and structures by which a substance is never planned. No names here."""

from __future__ import annotations

import re
from fractions import Fraction

from firstcrop.chem.formula import Formula

_METALS = frozenset(
    re.findall("[A-Z][a-z]?", "LiNaKRbCsBeMgCaSrBaAlGaTlSnPbBiSbCrMnFeCoNiCuZnAgCdHg")
)
_HALOGENS = frozenset(("F", "Cl", "Br", "I"))
_COINAGE = frozenset(("Ag", "Cu", "Hg", "Au"))
_NITRO = re.compile(r"ONO2|\(NO3\)|\(NO2\)")
_FUEL_BALANCE = -100.0  # % oxygen balance above which an organic nitro compound may explode
_NONE = Fraction(0)
# groups in a line of atoms: (pattern, how many are too many)
_LINES = (
    (re.compile(r"N=\[N\+\]=\[N-\]|\[N-\]=\[N\+\]=N"), 1),
    (re.compile(r"ON\(=O\)=O|O\[N\+\]\(=O\)\[O-\]"), 2),
    (re.compile(r"\[N\+\]\(=O\)\[O-\]|N\(=O\)=O|O=\[N\+\]\(\[O-\]\)"), 3),
    (re.compile(r"OO|O1O"), 2),
    (re.compile(r"P(?![a-z]).*F(?![a-z])|F(?![a-z]).*P(?![a-z])"), 1),
    (re.compile(r"S(?:C|\()CCCl|ClCCS|ClCCN\(|N\(CCCl\)"), 1),
)


def forbidden(formula: Formula) -> bool:
    """Whether the atoms of a formula, or the groups spelt out in it, belong to what is never
    planned: a few plain rules, wider than the list of names."""
    atoms = {symbol: count for symbol, count in formula.elements if count}
    return (
        _azide(atoms, formula)
        or _nitrogen_halide(atoms)
        or _fulminate(atoms)
        or _acetylide(atoms)
        or _nitro(atoms, formula)
        or _agent(atoms)
        or _perhalate(atoms, formula)
    )


def _azide(atoms: dict[str, Fraction], formula: Formula) -> bool:
    """A metal or hydrogen with three nitrogens and nothing else, or (N3) spelt out."""
    others = set(atoms) - {"N"}
    nitrogen = atoms.get("N", Fraction(0))
    metal = bool(others) and others <= _METALS | {"H"}
    three = bool(nitrogen) and nitrogen % 3 == 0
    salt = metal and len(others) == 1 and three and max(atoms[o] for o in others) * 3 <= nitrogen
    return salt or "(N3)" in formula.text


def _nitrogen_halide(atoms: dict[str, Fraction]) -> bool:
    halogens = sum((atoms[s] for s in atoms if s in _HALOGENS), Fraction(0))
    return set(atoms) <= _HALOGENS | {"N", "H"} and atoms.get("N") == 1 and halogens >= 2


def _fulminate(atoms: dict[str, Fraction]) -> bool:
    metals = set(atoms) & _COINAGE
    carbon = atoms.get("C")
    return (
        bool(metals)
        and set(atoms) - metals == {"C", "N", "O"}
        and carbon == atoms.get("N") == atoms.get("O")
    )


def _acetylide(atoms: dict[str, Fraction]) -> bool:
    metals = set(atoms) & _COINAGE
    return bool(metals) and set(atoms) - metals == {"C"} and atoms["C"] % 2 == 0


def _nitro(atoms: dict[str, Fraction], formula: Formula) -> bool:
    """Carbon with several nitro or nitrate groups, spelt out or told by the atoms: three
    nitrogens, twice as many oxygens, little hydrogen, and near enough oxygen to burn itself."""
    if not {"C", "N", "O"} <= set(atoms) or not set(atoms) <= {"C", "H", "N", "O"}:
        return False
    carbon, nitrogen, oxygen = atoms["C"], atoms["N"], atoms["O"]
    hydrogen = atoms.get("H", Fraction(0))
    spelt = len(_NITRO.findall(formula.text)) > 1 or bool(
        re.search(r"\((?:ONO2|NO3|NO2)\)[2-9]", formula.text)
    )
    balance = float(100 * 16 * (oxygen - 2 * carbon - hydrogen / 2)) / float(
        12 * carbon + hydrogen + 14 * nitrogen + 16 * oxygen
    )
    told = nitrogen >= 3 and oxygen >= 2 * nitrogen and hydrogen < 4 * nitrogen
    return (spelt and "NH4" not in formula.text) or (told and balance > _FUEL_BALANCE)


def _agent(atoms: dict[str, Fraction]) -> bool:
    """Carbon with phosphorus and fluorine; with one each of nitrogen, phosphorus and sulfur and
    no metal; an arsenic-carbon chloride; saturated chlorine-carbon chains on one sulfur or
    nitrogen with nothing else."""
    if "C" not in atoms:
        return False
    if {"P", "F"} <= set(atoms) or {"As", "Cl"} <= set(atoms):
        return True
    if set(atoms) == {"C", "H", "N", "O", "P", "S"}:
        return atoms["N"] == atoms["P"] == atoms["S"] == 1
    chlorine, carbon, hydrogen = atoms.get("Cl", _NONE), atoms["C"], atoms.get("H", _NONE)
    saturated = hydrogen + chlorine
    if set(atoms) == {"C", "H", "Cl", "S"}:
        return chlorine >= 2 and saturated == 2 * carbon + 2
    if set(atoms) == {"C", "H", "Cl", "N"}:
        return chlorine >= 2 and atoms["N"] == 1 and saturated == 2 * carbon + 3
    return False


def _perhalate(atoms: dict[str, Fraction], formula: Formula) -> bool:
    """A perchlorate, or a chlorate or permanganate of ammonium or an ammine."""
    energetic = re.search(r"ClO3|MnO4", formula.text)
    return bool(re.search(r"ClO4", formula.text)) or bool(energetic and {"N", "H"} <= set(atoms))


def forbidden_line(text: str) -> bool:
    """Whether a structure written as a line of atoms shows groups that are never planned."""
    return any(len(pattern.findall(text)) >= many for pattern, many in _LINES)
