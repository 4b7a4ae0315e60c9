"""Everything a sheet's simulations share: names resolved, chemistry assembled, reactions read."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from firstcrop.bank.bank import Bank
from firstcrop.bank.decompose import decompose
from firstcrop.bank.dehydration import Dehydration, chain
from firstcrop.bank.lookup import find_substance, substance_named
from firstcrop.bank.practice import load_practice
from firstcrop.bank.records import Solid, Stoichiometry, Substance
from firstcrop.chem.equation import EquationTerm
from firstcrop.chem.formula import parse_formula
from firstcrop.chem.weights import molar_mass
from firstcrop.forecast.assemble import assemble
from firstcrop.forecast.chemistry import (
    NO_HEAT,
    Chemistry,
    build_chemistry,
    component_vector,
    dissolved_enthalpy,
)
from firstcrop.forecast.context import Ground
from firstcrop.forecast.kinetics import Declared, proton_excess
from firstcrop.forecast.overlay import overlaid
from firstcrop.forecast.resolve import INERT, Names, resolve_names
from firstcrop.forecast.solvents import cosolvents
from firstcrop.liquor.system import Floats
from firstcrop.problems import Problem, Severity
from firstcrop.sheet.records import Preparation, Reaction

Side = tuple[tuple[EquationTerm, Substance | Stoichiometry], ...]


def lay_ground(prep: Preparation, bank: Bank) -> tuple[Ground, tuple[Problem, ...]]:
    """Resolve every name and build the chemistry they need; what failed is left out."""
    bank, problems = overlaid(prep, bank)
    names = resolve_names(prep, bank)
    read = [(r, _reaction_sides(r, bank)) for r in prep.reactions]
    bad = tuple(p for _, sides in read if isinstance(sides, Problem) for p in (sides,))
    good = [(r, sides) for r, sides in read if not isinstance(sides, Problem)]
    target, wanting = _target(prep, bank)
    chem = _chemistry(bank, names, good, target)
    chem = _without_heat(chem, tuple(_declare(chem, bank, r, sides) for r, sides in good))
    reactions = tuple(_declare(chem, bank, r, sides) for r, sides in good)
    wanting = (*wanting, *_never_solid(chem, bank, [r for r, _ in good], target))
    idle = tuple(_idle_note(d) for d in reactions if d.idle and d.reaction.rate.order)
    ground = Ground(
        prep=prep,
        bank=bank,
        chem=chem,
        materials=names.materials,
        reactions=reactions,
        excess=proton_excess(chem.system),
        target=target,
        target_solid=_target_row(chem, target),
        hydrates=MappingProxyType(
            {
                m.substance.key: _lower_hydrates(chem, bank, m.substance)
                for m in names.materials.values()
            }
        ),
    )
    return ground, (*problems, *names.problems, *bad, *wanting, *idle)


def _chemistry(
    bank: Bank,
    names: Names,
    read: list[tuple[Reaction, tuple[Side, Side]]],
    target: Substance | None,
) -> Chemistry:
    water = find_substance(bank, "water")
    assert isinstance(water, Substance), "the bank lacks water"
    wanted: dict[str, Substance] = {"water": water}
    for material in names.materials.values():
        for substance in (material.substance, material.rest):
            if substance is not None:
                wanted[substance.key] = substance
                wanted.update({h.key: h for h in hydrates_of(bank, substance)})
    components: dict[str, None] = {"H2O": None, "H+": None}
    for _, pair in read:
        for _, what in (*pair[0], *pair[1]):
            if isinstance(what, Substance):
                wanted[what.key] = what
            else:
                components.update({c: None for c, _ in what})
    if any(_organic_liquid(s) for s in wanted.values()):
        for reaction, _ in read:
            wanted.update({s.key: s for s in _plain_terms(reaction, bank)})
    if target is not None and target.components:
        components.update({c: None for c, _ in target.components})
    for substance in wanted.values():
        components.update({c: None for c, _ in substance.components})
    assembled = assemble(bank, tuple(components))
    for dried in _dried(bank, assembled.system.solids, wanted):
        wanted.setdefault(dried.key, dried)
    wanted[INERT] = _inert()
    chem = build_chemistry(assembled, tuple(wanted.values()))
    return replace(chem, mix=cosolvents(bank, chem.system))


def _organic_liquid(s: Substance) -> bool:
    formula = parse_formula(s.formula) if s.phase == "liquid" else None
    return formula is not None and not isinstance(formula, Problem) and bool(formula.count("C"))


def _plain_terms(reaction: Reaction, bank: Bank) -> Iterator[Substance]:
    """The terms of an equation that are substances of the bank."""
    for term in (*reaction.equation.left, *reaction.equation.right):
        known = None if term.formula.charge else find_substance(bank, term.formula.text)
        if isinstance(known, Substance):
            yield known


def hydrates_of(bank: Bank, substance: Substance) -> tuple[Substance, ...]:
    """Solids of the bank that are this one with more water, where their heat is known: what the
    water in a damp solid makes of it."""
    if not substance.components or substance.phase != "solid":
        return ()
    own = dict(substance.components)
    water = own.pop("H2O", 0.0)
    found = []
    for solid in bank.solids.values():
        theirs = dict(solid.components)
        if solid.formation is None or theirs.pop("H2O", 0.0) <= water or theirs != own:
            continue
        found.append(_as_substance(bank, solid))
    return tuple(found)


def _as_substance(bank: Bank, solid: Solid) -> Substance:
    known = find_substance(bank, solid.substance) if solid.substance else None
    if isinstance(known, Substance) and known.formation is not None:
        return known
    weighed = molar_mass_of(solid.key.split(" (", maxsplit=1)[0], bank)
    return Substance(
        key=solid.key,
        names=solid.names,
        formula=solid.key.split(" (", maxsplit=1)[0],
        phase="solid",
        components=solid.components,
        molar_mass=weighed,
        density=solid.density,
        formation=solid.formation,
        heat_capacity=solid.heat_capacity,
    )


def _dried(
    bank: Bank, solids: tuple[str, ...], wanted: dict[str, Substance]
) -> Iterator[Substance]:
    """What the hydrates of a sheet become in drying and that no liquor of it forms."""
    starts = (*solids, *(s.formula for s in wanted.values()))
    for start in (key for key in starts if chain(key)):
        whole = bank.solids.get(start)
        known = find_substance(bank, start) if whole is None else whole
        components = dict(known.components) if isinstance(known, Solid | Substance) else {}
        for step in chain(start):
            components["H2O"] = components.get("H2O", 0.0) - step.water
            if step.to not in solids and all(s.formula != step.to for s in wanted.values()):
                left = {key: count for key, count in components.items() if abs(count) > 1e-9}
                yield _dry_product(bank, step, tuple(left.items()))


def _dry_product(bank: Bank, step: Dehydration, components: Stoichiometry) -> Substance:
    known = find_substance(bank, step.to)
    if isinstance(known, Substance) and (known.formation is not None or step.formation is None):
        return known
    return Substance(
        key=step.to,
        names=(),
        formula=step.to,
        phase="solid",
        components=components,
        molar_mass=molar_mass_of(step.to, bank),
        formation=step.formation,
    )


def molar_mass_of(formula: str, bank: Bank) -> float:
    """kg/mol of a formula of the bank; one that cannot be read is a bug."""
    read = parse_formula(formula)
    weighed = read if isinstance(read, Problem) else molar_mass(read, bank.weights)
    if isinstance(weighed, Problem):
        raise ValueError(f"{formula}: {weighed.message}")
    return weighed[0]


def _inert() -> Substance:
    """Matter that does nothing, counted by the kilogram."""
    capacity = load_practice()["inert_heat_capacity"].datum
    return Substance(
        key=INERT, names=(), formula="", phase="solid", molar_mass=1.0, heat_capacity=capacity
    )


def _reaction_sides(reaction: Reaction, bank: Bank) -> tuple[Side, Side] | Problem:
    """Each formula as a substance that stays dry, or as the components it is in solution."""
    sides: list[Side] = []
    for terms in (reaction.equation.left, reaction.equation.right):
        side = []
        for term in terms:
            what = _matter(term, bank)
            if isinstance(what, Problem):
                return replace(
                    what,
                    places=(reaction.place,),
                    message=f"in `{reaction.equation.text or reaction.text}`: {what.message}",
                )
            side.append((term, what))
        sides.append(tuple(side))
    return sides[0], sides[1]


def _matter(term: EquationTerm, bank: Bank) -> Substance | Stoichiometry | Problem:
    known = None
    if not term.formula.charge:
        known = substance_named(bank, term.formula.text)
    if known is not None:
        return known.components or known
    return decompose(bank, term.formula)


def _declare(chem: Chemistry, bank: Bank, reaction: Reaction, sides: tuple[Side, Side]) -> Declared:
    change, dry = chem.nothing(), chem.nothing_dry()
    acid = base = 0.0
    dry_needs: list[tuple[int, float]] = []
    for sign, side in ((-1.0, sides[0]), (1.0, sides[1])):
        for term, what in side:
            count = float(term.count)
            if isinstance(what, Substance):
                row = chem.dry_index[what.key]
                dry[row] += sign * count
                if sign < 0.0:
                    dry_needs.append((row, count))
                continue
            change += sign * count * component_vector(chem.index, what)
            protons = dict(what).get("H+", 0.0) * count
            if sign < 0.0:
                acid += max(protons, 0.0)
                base += max(-protons, 0.0)
    wet_needs = tuple((i, -float(change[i])) for i in range(2, len(change)) if change[i] < -1e-9)
    change[np.abs(change) < 1e-12] = 0.0
    return Declared(
        reaction=reaction,
        label=reaction.equation.text or reaction.text,
        change=change,
        dry_change=dry,
        dry_needs=tuple(dry_needs),
        wet_needs=wet_needs,
        needs_acid=acid,
        needs_base=base,
        heat=_reaction_heat(chem, change, dry),
        neat=_in_neat(chem, bank, reaction),
    )


def _in_neat(chem: Chemistry, bank: Bank, reaction: Reaction) -> Declared | None:
    """A reaction among pure liquids; None where no organic liquid is about, or a term is no
    substance of the bank."""
    if not chem.organic.any():
        return None
    change = chem.nothing_dry()
    needs: list[tuple[int, float]] = []
    sides = ((-1.0, reaction.equation.left), (1.0, reaction.equation.right))
    for sign, term in ((sign, term) for sign, side in sides for term in side):
        known = None if term.formula.charge else find_substance(bank, term.formula.text)
        row = chem.dry_index.get(known.key) if isinstance(known, Substance) else None
        if row is None:
            return None
        change[row] += sign * float(term.count)
        if sign < 0.0:
            needs.append((row, float(term.count)))
    return Declared(
        reaction=reaction,
        label=reaction.equation.text or reaction.text,
        change=chem.nothing(),
        dry_change=change,
        dry_needs=tuple(needs),
        wet_needs=(),
        needs_acid=0.0,
        needs_base=0.0,
        heat=float(change @ chem.dry_h),
    )


def _reaction_heat(chem: Chemistry, change: Floats, dry: Floats) -> float:
    return dissolved_enthalpy(chem.system, change) + float(dry @ chem.dry_h)


def _without_heat(chem: Chemistry, reactions: tuple[Declared, ...]) -> Chemistry:
    """A substance whose heat of formation is not known gets the one at which the reaction that
    has it gives no heat, as `Chemistry.gaps` says of it."""
    heats, settled = chem.dry_h.copy(), set[int]()
    for declared in (d for r in reactions for d in (r, r.neat) if d is not None):
        rows = [
            int(row)
            for row in np.flatnonzero(declared.dry_change)
            if NO_HEAT in chem.gaps.get(chem.dry[row].key, "")
        ]
        if len(rows) == 1 and rows[0] not in settled:
            found = replace(chem, dry_h=heats)
            heat = _reaction_heat(found, declared.change, declared.dry_change)
            heats[rows[0]] -= heat / float(declared.dry_change[rows[0]])
            settled.add(rows[0])
    return replace(chem, dry_h=heats)


def _never_solid(
    chem: Chemistry, bank: Bank, reactions: list[Reaction], target: Substance | None
) -> tuple[Problem, ...]:
    """Warn of soluble solids, made or wanted, whose solubility the bank does not know."""
    asked = {s.key: s for r in reactions for s in _plain_terms(r, bank)}
    if target is not None:
        asked[target.key] = target
    found = []
    for s in asked.values():
        if s.phase != "solid" or not s.components:
            continue
        row = component_vector(chem.index, s.components)[1:]
        if not any(np.allclose(nu[1:], row) for nu in chem.system.solid_nu):
            found.append(
                Problem(
                    "no solubility",
                    f"the bank has no solubility of {s.key}: it is taken to stay dissolved",
                    (),
                    "give its solubility under `## Substances` with a source",
                    Severity.WARNING,
                )
            )
    return tuple(found)


def _idle_note(declared: Declared) -> Problem:
    return Problem(
        "reaction without a rate",
        f"`{declared.label}` is what the solution does by itself: its rate is not used",
        (declared.reaction.place,),
        severity=Severity.NOTE,
    )


def _target(prep: Preparation, bank: Bank) -> tuple[Substance | None, tuple[Problem, ...]]:
    for name in (prep.target_formula, prep.target):
        if name:
            found = find_substance(bank, name)
            if isinstance(found, Substance):
                return found, ()
    if not (prep.target or prep.target_formula):
        return None, ()
    wanted = prep.target_formula or prep.target
    return None, (
        Problem(
            "unknown target",
            f"{wanted} is not in the bank, so no yield can be given",
            (),
            "give its formula on the `Makes` line and its data under `## Substances`",
            Severity.WARNING,
        ),
    )


def _target_row(chem: Chemistry, target: Substance | None) -> int:
    """The row of the target among the solids that may form; -1 when it is none of them."""
    if target is None:
        return -1
    for i, name in enumerate(chem.system.solids):
        plain = name.split(" (", maxsplit=1)[0]
        if plain in (target.formula, target.key):
            return i
    row = component_vector(chem.index, target.components) if target.components else None
    for i in range(len(chem.system.solids)):
        if row is not None and np.allclose(chem.system.solid_nu[i], row):
            return i
    return -1


def _lower_hydrates(
    chem: Chemistry, bank: Bank, substance: Substance
) -> tuple[tuple[int, float], ...]:
    """(dry row, extra water) of the hydrates of a substance, the driest first."""
    own = dict(substance.components).get("H2O", 0.0)
    found = [
        (chem.dry_index[other.key], dict(other.components)["H2O"] - own)
        for other in hydrates_of(bank, substance)
    ]
    return tuple(sorted(found, key=lambda pair: pair[1]))
