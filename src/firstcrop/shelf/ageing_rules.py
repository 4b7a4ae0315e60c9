"""One rule a way of ageing; each takes a Case and gives a factor on the strength."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

import numpy as np

from firstcrop.bank.keeping import load_damp, load_keeping
from firstcrop.bank.lookup import hydrates
from firstcrop.bank.records import Substance
from firstcrop.forecast.contents import at_temperature
from firstcrop.laws.hypochlorite_adam_1999 import SOURCE, VALID, hypochlorite_left
from firstcrop.problems import Problem
from firstcrop.quantity.records import Basis
from firstcrop.shelf.ageing import (
    DAY,
    YEAR,
    Case,
    lost,
    not_known,
    practice,
    unchanged,
)
from firstcrop.shelf.mixture import mixture
from firstcrop.shelf.records import VOLUME, Ageing

GAS = 8.314  # J/(mol K)
AIR = 101325.0  # Pa
WEAK, STRONG = (0.02, 0.15), (0.15, 0.55)  # kg/kg of peroxide the sources speak of
LONGEST = 365.0  # d: four times the three months the weak peroxide was watched for
TRIVIAL = 1e-4


def age(case: Case) -> Ageing:
    """The factor by the rule of the bottle's substance; hydrates go by the damp of the room."""
    key = case.level.bottle.substance
    row = load_keeping().get(key)
    if row is None:
        substance = case.bank.substances[key]
        if key in load_damp() or _drier(case, substance):
            return humidity(case)
        return unchanged("how it keeps is not known; the strength is taken as it was")
    if row.rule == "keeps":
        told = "it keeps in a closed bottle"
        return unchanged(f"{told}; {row.note}" if row.note else told, row.source, "common practice")
    if row.rule == "unknown":
        return not_known(f"{row.note}, how fast is not known")
    return RULES[row.rule](case)


def hypochlorite(case: Case) -> Ageing:
    """Adam and Gordon's law, with the ionic strength of bleach: its chloride and some lye."""
    molar = _bleach(case)
    if molar is None:
        return not_known("the strength is on a basis the law cannot be used with")
    factor, slow, fast = practice("hypochlorite_rate")
    lye, little, much = practice("hypochlorite_lye")
    warm, cool, hot = case.warm

    def left(temperature: float, hydroxide: float, scatter: float) -> float:
        ions = 2.0 * molar + hydroxide  # one chloride to a hypochlorite, as bleach is made
        return hypochlorite_left(molar, case.days * DAY * scatter, temperature, ions)

    low, value, high = left(hot, much, fast), left(warm, lye, factor), left(cool, little, slow)
    held = VALID["concentration"]
    outside = " (weaker than the law was measured for)" if molar < held[0] else ""
    degrees = VALID["temperature"]
    if not degrees[0] <= warm <= degrees[1]:
        outside += " (colder or warmer than the law was measured for)"
    how = f"hypochlorite loses strength by itself{outside}"
    return Ageing(low, value, high, how, SOURCE, "fit")


def _bleach(case: Case) -> float | None:
    """mol/m3 of hypochlorite."""
    strength, mass = case.strength, case.bank.substances["sodium hypochlorite"].molar_mass
    if strength.basis is Basis.WW:
        density = 1000.0 + practice("hypochlorite_density")[0] * strength.value
        return strength.value * density / mass
    if strength.basis in (Basis.WV, Basis.MASS_CONCENTRATION):
        return strength.value / mass
    return strength.value if strength.basis is Basis.MOLARITY else None


def peroxide(case: Case) -> Ageing:
    """Stabilised strong peroxide loses little; for weak ones three months have been watched."""
    fraction = _fraction(case)
    if fraction is None or not WEAK[0] <= fraction <= STRONG[1]:
        return not_known("nothing is published for peroxide of this strength")
    if fraction >= STRONG[0]:
        years = case.days / YEAR
        value, low, high = practice("peroxide_strong")
        return lost(low * years, value * years, high * years,
                    "peroxide of this strength keeps well in its own bottle, in the cool",
                    "asta-peroxide", "common practice")  # fmt: skip
    if case.days > LONGEST:
        return not_known("weak peroxide has not been watched for so long")
    quarters = case.days / (YEAR / 4.0)
    value, low, high = practice("peroxide_weak")
    return lost(low * quarters, value * quarters, high * quarters,
                "weak peroxide keeps above nine tenths for three months in the dark",
                "pharmacy-peroxide", "measured")  # fmt: skip


def _fraction(case: Case) -> float | None:
    made = mixture(case.bank, (case.level.bottle.substance, case.strength))
    found = made if isinstance(made, Problem) else made.fraction(case.strength)
    return None if isinstance(found, Problem) else found


def headspace(case: Case) -> Ageing:
    """Each opening lets the gas above the solution go: its pressure by the engine, the space from
    what is left. A cap that leaks is not counted, so what is lost is at least this."""
    bottle = case.level.bottle
    row = load_keeping()[bottle.substance]
    if case.level.draws == 0:
        return unchanged("it has not been opened since", row.source, "derived")
    made = mixture(case.bank, (bottle.substance, case.strength))
    stock = made if isinstance(made, Problem) else made.stock()
    if (
        isinstance(made, Problem)
        or isinstance(stock, Problem)
        or row.note not in made.chem.system.gases
    ):
        return not_known("the gas above it is not known")
    chem = made.chem
    state = at_temperature(chem, stock.wet, chem.nothing_dry(), case.warm[0], AIR).state
    if state is None or not state.ok:
        return not_known("the gas above it could not be computed")
    pressure = min(float(state.fugacity[chem.system.gases.index(row.note)]) * 1e5, AIR)
    size = bottle.size if bottle.unit == VOLUME else bottle.size / stock.density
    left = max(case.level.left / bottle.size, TRIVIAL) * size
    gone = pressure * (size - left) / (GAS * case.warm[0]) * case.level.draws
    held = stock.principal_mol * stock.density * left
    value, low, high = (gone / held * part for part in practice("air_change"))
    how = f"gas is lost at each of {case.level.draws} openings; a leaking cap loses more"
    return lost(low, value, high, how, row.source, "derived")


def carbonate(case: Case) -> Ageing:
    """The carbon dioxide of the air let in at each opening, all of it taken up."""
    bottle = case.level.bottle
    row = load_keeping()[bottle.substance]
    made = mixture(case.bank, (bottle.substance, case.strength))
    stock = made if isinstance(made, Problem) else made.stock()
    if isinstance(stock, Problem):
        return not_known("what is in the bottle could not be computed")
    size = bottle.size if bottle.unit == VOLUME else bottle.size / stock.density
    left = max(case.level.left / bottle.size, TRIVIAL) * size
    air = AIR * size / (GAS * case.warm[0]) * max(case.level.draws, 1)
    held = stock.principal_mol * stock.density * left
    part, low, high = practice("co2_of_air")
    change = practice("air_change")
    value = 2.0 * air * part * change[0] / held
    ends = (2.0 * air * low * change[1] / held, 2.0 * air * high * change[2] / held)
    how = "carbon dioxide of the air let in at each opening; a bottle left open takes up more"
    return lost(ends[0], value, ends[1], how, row.source, "derived")


def humidity(case: Case) -> Ageing:
    """Between the damp in which a salt runs and the dryness in which it weathers it keeps; in a
    closed bottle it keeps in any case, and what the room would do is told."""
    bottle = case.level.bottle
    substance = case.bank.substances[bottle.substance]
    warm = case.warm[0]
    _, dry, damp = practice("room_humidity")
    told, source = [], ""
    runs = load_damp().get(bottle.substance)
    if runs is not None:
        source = runs.source
        if runs.humidity(warm) < damp:
            edge = runs.humidity(warm)
            told.append(f"it takes up water in air damper than {edge * 100:.0f} %: keep it closed")
    steps = weathering(case, substance, warm, dry)
    if steps:
        edge, lower = steps[0][0], steps[-1][1]
        told.append(
            f"in air drier than {edge * 100:.0f} % it weathers, to {lower.formula} in the end"
        )
    if not told:
        told.append("it keeps in the air of a room")
    return unchanged("; ".join(("in a closed bottle it keeps", *told)), source, "derived")


def weathering(
    case: Case, substance: Substance, temperature: float, dry: float
) -> list[tuple[float, Substance]]:
    """The steps by which a hydrate loses water in air as dry as `dry`: humidity, next solid."""
    steps: list[tuple[float, Substance]] = []
    while (lower := _drier(case, substance)) is not None:
        edge = weathers_below(case, substance, lower, temperature)
        if edge is None or edge < dry:
            break
        steps.append((edge, lower))
        substance = lower
    return steps


def _drier(case: Case, substance: Substance) -> Substance | None:
    """The next hydrate with less water, or the dry salt."""
    if substance.phase != "solid" or not dict(substance.components).get("H2O"):
        return None
    lighter = [h for h in hydrates(case.bank, substance) if h.molar_mass < substance.molar_mass]
    return lighter[-1] if lighter else None


def weathers_below(
    case: Case, substance: Substance, lower: Substance, temperature: float
) -> float | None:
    """Relative humidity at which both hydrates stand side by side: from their activity products,
    ln a(water) = (ln K of the higher - ln K of the lower) / (water between them)."""
    made = mixture(case.bank, (substance.key, None), (lower.key, None))
    if isinstance(made, Problem):
        return None
    system = made.chem.system
    rows = [_row(system.solids, s) for s in (substance, lower)]
    if None in rows:
        return None
    lnk = [float(np.interp(temperature, system.t_grid, system.solid_lnk[r])) for r in rows]
    water = [float(system.solid_nu[r, 0]) for r in rows]
    found = float(np.exp((lnk[0] - lnk[1]) / (water[0] - water[1])))
    return found if 0.0 < found < 1.0 else None


def _row(solids: tuple[str, ...], substance: Substance) -> int | None:
    return solids.index(substance.formula) if substance.formula in solids else None


RULES: Mapping[str, Callable[[Case], Ageing]] = MappingProxyType(
    {
        "hypochlorite": hypochlorite,
        "peroxide": peroxide,
        "headspace": headspace,
        "carbonate": carbonate,
        "humidity": humidity,
    }
)
