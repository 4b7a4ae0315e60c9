"""Any formula as master components: what it brings into a solution when it dissolves.

The rows of the bank come first. Otherwise the components are those whose atoms other than H and
O add up to the formula's with the fewest pieces; H2O then follows from O, H+ from H, and the
charge must come out. Since every oxidation state is a component of its own, the charge picks it:
FeO takes Fe+2, Fe2O3 takes Fe+3, Fe3O4 both.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from firstcrop.bank.lookup import Named, values
from firstcrop.bank.records import Component, Stoichiometry
from firstcrop.chem.formula import Formula, parse_formula
from firstcrop.problems import Problem

_WATER, _PROTON = "H2O", "H+"
_SIMPLE_CARBON = ("CO3-2", "C2O4-2", "SCN-", "Fe(CN)6-3", "Fe(CN)6-4")
_LITERAL = (  # only where the formula spells them: their atoms could be another oxidation state's
    ("NH4+", ("NH",)),
    ("NO3-", ("NO3",)),
    ("NO2-", ("NO2",)),
    ("ClO-", ("ClO", "OCl")),
    ("ClO3-", ("ClO3",)),
    ("MnO4-", ("MnO4",)),
    ("S2O3-2", ("S2O3",)),
    ("NH2SO3-", ("NH2SO3",)),
)
_HALOGENS = frozenset({"F", "Cl", "Br", "I"})
_MOST_PIECES = 40  # a formula with more atoms than this beside H and O is not searched


@dataclass(frozen=True, slots=True)
class _Piece:
    key: str
    charge: int
    atoms: Mapping[str, int]  # without H and O
    hydrogen: int
    oxygen: int


def decompose(bank: Named, formula: Formula | str) -> Stoichiometry | Problem:
    """Moles of each component in one mole of `formula`; H2O and H+ may be negative.

    Codes: bank.no-components (no combination fits), bank.ambiguous-components (several fit
    equally well), and those of `parse_formula` for a text.
    """
    read = parse_formula(formula) if isinstance(formula, str) else formula
    if isinstance(read, Problem):
        return read
    known = _from_bank(bank, read)
    if known is not None:
        return known
    pieces = tuple(p for p in _pieces(values(bank.components)) if _spelled(p.key, read.text))
    found = _smallest(read, pieces)
    if not found:
        return Problem(
            "bank.no-components",
            f"The bank has no dissolved species that {read.text} could be made of.",
            (),
            "Leave it out of the solution (a metal, an oil) or add its components to the bank.",
        )
    if len(found) > 1:
        ways = " or ".join(_told(way) for way in found[:3])
        return Problem(
            "bank.ambiguous-components",
            f"{read.text} could dissolve as {ways}.",
            (),
            "Name a substance of the bank, or split the formula into its ions.",
        )
    return found[0]


def _from_bank(bank: Named, wanted: Formula) -> Stoichiometry | None:
    for component in values(bank.components):
        if wanted.text == component.key:
            return ((component.key, 1.0),)
    for substance in values(bank.substances):
        if substance.components and _same(wanted, substance.formula):
            return substance.components
    return None


@lru_cache(maxsize=4096)
def _read(text: str) -> Formula | None:
    formula = parse_formula(text)
    return None if isinstance(formula, Problem) else formula


def _same(wanted: Formula, text: str) -> bool:
    formula = _read(text)
    return formula is not None and wanted.same_matter(formula)


def _pieces(components: Iterable[Component]) -> Iterator[_Piece]:
    """The components a formula may be searched for: ions and boric acid, no gases, no neutral
    organic molecule (its atoms fit too many other things)."""
    for component in components:
        formula = _read(component.formula)
        if formula is None or component.key in (_WATER, _PROTON):
            continue
        if not component.charge and component.key != "B(OH)3":
            continue
        counts = {symbol: int(count) for symbol, count in formula.elements}
        hydrogen, oxygen = counts.pop("H", 0), counts.pop("O", 0)
        if counts:
            yield _Piece(component.key, component.charge, counts, hydrogen, oxygen)


def _spelled(key: str, text: str) -> bool:
    spellings = dict(_LITERAL).get(key)
    return spellings is None or any(spelling in text for spelling in spellings)


def _smallest(wanted: Formula, pieces: tuple[_Piece, ...]) -> list[Stoichiometry]:
    """All ways with the fewest pieces that balance; empty when there is none."""
    target = {s: n for s, n in wanted.elements if s not in ("H", "O") and n}
    if any(n.denominator != 1 for n in target.values()):
        return []
    atoms = {symbol: int(count) for symbol, count in target.items()}
    if not atoms or sum(atoms.values()) > _MOST_PIECES:
        return []
    able = tuple(p for p in pieces if all(atoms.get(s, 0) >= n for s, n in p.atoms.items()))
    best: list[Stoichiometry] = []
    fewest = _MOST_PIECES + 1
    for way in _covers(atoms, able):
        size = sum(way.values())
        closed = _closed(wanted, way, able) if size <= fewest else None
        if closed is None:
            continue
        if size < fewest:
            fewest, best = size, []
        best.append(closed)
    return best


def _covers(left: Mapping[str, int], pieces: tuple[_Piece, ...]) -> Iterator[dict[str, int]]:
    """Every multiset of pieces whose atoms (H and O apart) use up `left`."""
    if not pieces:
        if not any(left.values()):
            yield {}
        return
    piece, rest = pieces[0], pieces[1:]
    most = min(left.get(symbol, 0) // count for symbol, count in piece.atoms.items())
    reachable = {symbol for other in rest for symbol in other.atoms}
    for times in range(most, -1, -1):
        after = {s: n - times * piece.atoms.get(s, 0) for s, n in left.items()}
        if any(n and s not in reachable for s, n in after.items()):
            continue
        for way in _covers(after, rest):
            yield {piece.key: times, **way} if times else way


def _closed(
    wanted: Formula, way: Mapping[str, int], pieces: tuple[_Piece, ...]
) -> Stoichiometry | None:
    """The way with its H2O and H+, None when the charge or the carbon rule forbids it."""
    used = tuple((p, way[p.key]) for p in pieces if p.key in way)
    if not _carbon_fits(used) or _halogen_on_carbon(wanted, used):
        return None
    oxygen = wanted.count("O") - sum(p.oxygen * n for p, n in used)
    hydrogen = wanted.count("H") - sum(p.hydrogen * n for p, n in used) - 2 * oxygen
    if sum(p.charge * n for p, n in used) + hydrogen != wanted.charge:
        return None
    counts: dict[str, Fraction] = {p.key: Fraction(n) for p, n in used}
    counts |= {_WATER: oxygen, _PROTON: hydrogen}
    return tuple((key, float(count)) for key, count in counts.items() if count)


def _carbon_fits(used: tuple[tuple[_Piece, int], ...]) -> bool:
    """Organic anions only as the anion of a salt and one kind at a time: sugars have the atoms
    of so many acetic acids and are none."""
    organic = [p for p, _ in used if "C" in p.atoms and p.key not in _SIMPLE_CARBON]
    salt = any(p.charge > 0 for p, _ in used)
    return not organic or (salt and len(organic) == 1)


def _halogen_on_carbon(wanted: Formula, used: tuple[tuple[_Piece, int], ...]) -> bool:
    """Whether a halogen and carbon stand in one part of the formula: it is bound to the carbon
    there (trichloroacetic acid), and no halide of a solution."""
    halide = any(p.atoms.keys() & _HALOGENS for p, _ in used)
    carbon = any("C" in p.atoms for p, _ in used)
    if not (halide and carbon):
        return False
    parts = [_read(part) for part in wanted.text.replace(".", "·").replace("*", "·").split("·")]
    return any(
        part is not None and part.count("C") and any(part.count(x) for x in _HALOGENS)
        for part in parts
    )


def _told(way: Stoichiometry) -> str:
    return " + ".join(f"{count:g} {key}" for key, count in way)
