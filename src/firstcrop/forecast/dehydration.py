"""Crystal water that goes in drying: at once above a temperature, in part where air is dry enough.

A step goes at once from where handbooks say so, or from where its vapour reaches one atmosphere;
below that it goes in part (common practice, with its bounds) as long as its vapour pressure is
above that of the water in the air.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from firstcrop.bank.dehydration import Dehydration, load_dehydration
from firstcrop.bank.practice import load_airing
from firstcrop.forecast.chemistry import T0, Chemistry
from firstcrop.forecast.contents import dry_enthalpy, solids_enthalpy
from firstcrop.forecast.task import Task
from firstcrop.forecast.world import Books, Cake, thrown_out
from firstcrop.laws.vapour_over_hydrate_nbs_1982 import (
    temperature_of_vapour,
    vapour_pressure_over,
)
from firstcrop.laws.vapour_pressure_wagner_1993 import vapour_pressure
from firstcrop.liquor.system import Floats
from firstcrop.sheet.records import EndKind

ATMOSPHERE = 101325.0  # Pa
WARM = 313.15  # K above which crystal water may go
NOTHING = 1e-9  # mol


@dataclass(frozen=True, slots=True)
class Air:
    """What a solid dries in: K, Pa of water vapour, and how ("air", "oven", "desiccator" ...)."""

    temperature: float
    vapour: float
    how: str


def air_of(task: Task, how: str, temperature: float) -> Air:
    """The air of a drying step: the room's water in it, none over a drying agent."""
    if how in ("desiccator", "vacuum"):
        return Air(temperature, 0.0, how)
    written = task.ctx.condition("humidity")
    part = task.ctx.knobs.practice("humidity") if written is None else written
    return Air(temperature, part * float(vapour_pressure(task.ctx.room)), how)


def lose_water(task: Task, cake: Cake, air: Air) -> Cake:
    """The cake without the crystal water that goes; the vapour and its heat are in the books."""
    chem = task.ctx.chem
    solids, dry, first = cake.solids.copy(), cake.dry.copy(), cake.filtered
    first = None if first is None else first.copy()
    rows = {s.formula: i for i, s in enumerate(chem.dry)}
    water = 0.0
    for there, name in _present(chem, cake):
        amount, key = there, name
        while amount > NOTHING:
            step = load_dehydration().get(key)
            part = 0.0 if step is None else _part(task, step, air)
            if step is None or part <= 0.0 or not _known(chem, rows, step.to):
                _ask(task, key, step, air)
                break
            amount *= part
            water += amount * step.water
            _move(chem, rows, step, (solids, dry), amount)
            if first is not None:
                _shift(chem, step, first, part)
            _tell(task, step, part, air)
            if part < 1.0:
                break
            key = step.to
    if water <= 0.0:
        return cake
    new = replace(cake, solids=solids, dry=dry, filtered=first)
    return _settled(task, cake, new, water)


def _present(chem: Chemistry, cake: Cake) -> list[tuple[float, str]]:
    """(mol, formula) of the solids there, hydrates or not."""
    found = [
        (float(n), name)
        for name, n in zip(chem.system.solids, cake.solids, strict=True)
        if n > NOTHING
    ]
    found += [(float(n), s.formula) for s, n in zip(chem.dry, cake.dry, strict=True) if n > NOTHING]
    return found


def _known(chem: Chemistry, rows: dict[str, int], key: str) -> bool:
    return key in chem.system.solids or key in rows


def _move(
    chem: Chemistry,
    rows: dict[str, int],
    step: Dehydration,
    held: tuple[Floats, Floats],
    amount: float,
) -> None:
    """Take `amount` mol of a solid and put what it becomes."""
    names = chem.system.solids
    for key, change in ((step.solid, -amount), (step.to, amount)):
        if key in names and (change > 0.0 or held[0][names.index(key)] >= amount * (1.0 - 1e-9)):
            held[0][names.index(key)] += change
        else:
            held[1][rows[key]] += change


def _shift(chem: Chemistry, step: Dehydration, first: Floats, part: float) -> None:
    """The same change in what was on the filter before washing, so that the rest compares."""
    names = chem.system.solids
    if step.solid not in names:
        return
    gone = first[names.index(step.solid)] * part
    first[names.index(step.solid)] -= gone
    if step.to in names:
        first[names.index(step.to)] += gone


def _settled(task: Task, old: Cake, new: Cake, water: float) -> Cake:
    """Books and enthalpy: the vapour leaves, the surroundings give the heat of it."""
    chem, t = task.ctx.chem, old.temperature
    change = solids_enthalpy(chem, new.solids, t) - solids_enthalpy(chem, old.solids, t)
    change += dry_enthalpy(chem, new.dry, t) - dry_enthalpy(chem, old.dry, t)
    system = chem.system
    steam = water * float(system.gas_h[0] + system.gas_cp[0] * (t - T0))
    gone = chem.nothing()
    gone[0] = water
    books: Books = thrown_out(task.world.books, gone, chem.nothing_dry(), steam)
    books = replace(books, heat=books.heat + change + steam)
    task.world = replace(task.world, books=books)
    return replace(new, enthalpy=old.enthalpy + change)


def at_once_from(step: Dehydration) -> float | None:
    """K from which a step goes at once: the handbooks' or that of one atmosphere of vapour,
    whichever is lower; None when neither is known."""
    found = [] if step.oven is None else [step.oven.value]
    if step.vapour is not None:
        found.append(temperature_of_vapour(ATMOSPHERE, step.vapour))
    return min(found, default=None)


def _part(task: Task, step: Dehydration, air: Air) -> float:
    """Which part of a hydrate goes."""
    limit = at_once_from(step)
    if limit is not None and air.temperature >= limit:
        return 1.0
    if step.vapour is None or vapour_pressure_over(air.temperature, step.vapour) <= air.vapour:
        return 0.0
    end = task.clause.end
    if end is not None and end.kind is EndKind.CONSTANT_MASS:
        return 1.0
    kind = "air" if air.temperature <= WARM else "warm"
    kind = "dry" if air.how in ("desiccator", "vacuum") else kind
    return task.ctx.knobs.practice(f"weathering_{kind}")


def _tell(task: Task, step: Dehydration, part: float, air: Air) -> None:
    if part >= 1.0:
        limit = at_once_from(step)
        known = "" if limit is None else f" (it goes from {limit - 273.15:.0f} °C)"
        task.note(
            "crystal water lost",
            f"{step.solid} loses {step.water:g} H2O at {air.temperature - 273.15:.0f} °C and "
            f"becomes {step.to}{known}",
            "means",
        )
        return
    assert step.vapour is not None
    own = vapour_pressure_over(air.temperature, step.vapour)
    task.note(
        "effloresces",
        f"{step.solid} loses crystal water in air drier than "
        f"{own / float(vapour_pressure(air.temperature)):.0%} relative humidity: {part:.0%} of it "
        f"is taken to become {step.to}; do not leave it long",
        "means",
    )


def _ask(task: Task, key: str, step: Dehydration | None, air: Air) -> None:
    """Say that nothing is known of a hydrate's water."""
    if "·" not in key:
        return
    unknown = step is None or (step.vapour is None and at_once_from(step) is None)
    if air.temperature > WARM and unknown:
        task.complain(
            "drying may drive off crystal water",
            f"at {air.temperature - 273.15:.0f} °C {key} may lose crystal water; how much, the "
            "bank does not say: the mass is that of the full hydrate",
            "means",
            "dry in air",
        )
    elif key.split(" (", maxsplit=1)[0] in load_airing("effloresces") and unknown:
        task.note("effloresces", f"{key} loses crystal water in dry air; do not leave it long")
