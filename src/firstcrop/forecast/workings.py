"""How the numbers of a step came about: terms that add up to what is shown."""

from __future__ import annotations

import math

from firstcrop.forecast.chemistry import T0
from firstcrop.forecast.contents import at_temperature, gas_enthalpy
from firstcrop.forecast.context import Ground
from firstcrop.forecast.log import Instant, Log, Snapshot
from firstcrop.forecast.neat import reactions_in
from firstcrop.forecast.records import Term, Working
from firstcrop.laws import holdup_hughmark_1967
from firstcrop.laws.vapour_pressure_wagner_1993 import vapour_pressure

SLIGHT = 0.02  # K: a rise too small to divide by
BY_H = "differences of enthalpy, H(T, amounts)"

Causes = tuple[tuple[tuple[str, float], ...], float]  # J by cause, and their sum


def heat_terms(
    ground: Ground, first: Snapshot | None, then: Snapshot | None, pressure: float
) -> Causes | None:
    """J by cause between two snapshots, and J that warmed the contents (their sum).

    None where the vessel was empty at first and nothing came in, or a snapshot is missing.
    """
    if first is None or then is None:
        return None
    chem = ground.chem
    start = _start_temperature(first, then)
    if start is None:
        return None
    terms: list[tuple[str, float]] = []
    mixing = first.contents.enthalpy + first.wall * (start - T0)
    wall_late = first.wall * (first.contents.temperature - start)
    if abs(wall_late) > 1e-12:
        terms.append(("the vessel's wall, warmer or colder than what came in", wall_late))
    known = {(label, t): m for label, _, m, t in first.brought}
    for label, stock, mass, temperature in then.brought:
        new = mass - known.get((label, temperature), 0.0)
        cold = stock.enthalpy(chem, start) * new
        warm = stock.enthalpy(chem, temperature) * new - cold
        mixing += cold
        if abs(warm) > 1e-9:
            terms.append((f"{label} came at {temperature - 273.15:.1f} °C", warm))
    gas = then.gas - first.gas
    cold_gas = gas_enthalpy(chem, gas, start)
    mixing -= cold_gas
    c = then.contents
    alike = at_temperature(chem, c.wet, c.dry, start, pressure, c.state)
    mixing -= alike.enthalpy + then.wall * (start - T0)
    declared_here = reactions_in(ground.chem, ground.reactions, c.wet, c.dry)
    for declared, extent in zip(declared_here, then.reacted - first.reacted, strict=True):
        if abs(extent) > 1e-12:
            given = -float(extent) * declared.heat
            terms.append((f"reaction {declared.label}", given))
            mixing -= given
    terms.insert(0, ("mixing, dissolving, neutralising, crystallising", mixing))
    terms.append(("heat from surroundings and heaters", then.heat - first.heat))
    terms.append(("heat taken along by gas", cold_gas - (then.gas_heat - first.gas_heat)))
    warmed = c.enthalpy - alike.enthalpy + then.wall * (c.temperature - start)
    return tuple((n, v) for n, v in terms if v), warmed


def _start_temperature(first: Snapshot, then: Snapshot) -> float | None:
    """K from which the rise is counted: the contents', or of what first came into an empty one."""
    c = first.contents
    if c.wet.any() or c.dry.any():
        return c.temperature
    return then.brought[0][3] if then.brought else None


def temperature_working(
    first: Snapshot | None, then: Snapshot | None, found: Causes | None
) -> Working | None:
    """The temperature of `then` as the start and a rise by each cause `found` (`heat_terms`)."""
    if first is None or then is None:
        return None
    start = _start_temperature(first, then)
    if found is None or start is None:
        return None
    causes, warmed = found
    goal = then.contents.temperature
    rise = goal - start
    terms = [Term("temperature before", start, "K")]
    if abs(rise) < SLIGHT:
        if rise:
            terms.append(Term("all heats together", rise, "K"))
        return Working(goal, "K", "sum", tuple(terms), BY_H)
    capacity = warmed / rise
    shown = [Term(name, heat / capacity, "K", f"{heat:.5g} J") for name, heat in causes]
    gap = goal - math.fsum([start, *(t.value for t in shown)])
    if abs(gap) > 1e-9:
        shown.append(Term("rounding of the equilibrium", gap, "K"))
    note = f"heat capacity of contents and vessel {capacity:.4g} J/K"
    return Working(goal, "K", "sum", (*terms, *shown), BY_H, "", (note,))


def heat_working(found: Causes | None) -> Working | None:
    """Where the heat of a step came from and went, J: the causes `found` (`heat_terms`)."""
    if found is None:
        return None
    causes, _ = found
    total = math.fsum(v for _, v in causes)
    terms = tuple(Term(name, heat, "J") for name, heat in causes)
    return Working(total, "J", "sum", terms, BY_H, "", ("the sum warms the contents and vessel",))


def volume_working(instant: Instant) -> Working:
    """Peak volume: liquor and solids, and the gas held up in them."""
    held = instant.foam - instant.volume
    terms = (
        Term("liquor and solids", instant.volume, "m3"),
        Term("gas held up while it rises", held, "m3"),
    )
    return Working(
        instant.foam,
        "m3",
        "sum",
        terms,
        "gas hold-up by Hughmark 1967",
        holdup_hughmark_1967.SOURCE,
        ("a stable foam can stand higher: common practice leaves three times the volume",),
    )


def ph_working(snapshot: Snapshot, ground: Ground) -> Working | None:
    """pH of the liquor from molality, activity coefficient and convention."""
    state = snapshot.contents.state
    if state is None or math.isnan(state.ph):
        return None
    row = ground.chem.system.species.index("H+")
    molality = float(state.molalities[row])
    if molality <= 0.0:
        return None
    first = -math.log10(molality)
    second = -float(state.ln_gamma[row]) / math.log(10.0)
    terms = (
        Term("-log10 of the molality of H+", first, "1", f"{molality:.4g} mol/kg"),
        Term("-log10 of its activity coefficient", second, "1"),
        Term("pH convention", state.ph - first - second, "1", "Bates-Guggenheim for chloride"),
    )
    return Working(state.ph, "1", "sum", terms, "equilibrium of the liquor")


def gas_working(ground: Ground, log: Log, room: float, pressure: float) -> Working:
    """Gas of a step by kind, at room temperature and pressure; water vapour not counted."""
    per = 8.31446 * room / pressure
    names = ground.chem.system.gases
    terms = tuple(
        Term(names[i], float(n) * per, "m3", f"{float(n):.5g} mol")
        for i, n in enumerate(log.gas)
        if i and n > 1e-12
    )
    alone = math.fsum(t.value for t in terms)
    vapour = float(vapour_pressure(room))
    damp = alone * vapour / (pressure - vapour)
    if damp > 0.0:
        terms = (*terms, Term("water vapour in it, saturated at room temperature", damp, "m3"))
    return Working(alone + damp, "m3", "sum", terms, "ideal gas at room conditions")
