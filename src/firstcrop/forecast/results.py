"""From raw logs to the records of a forecast."""

from __future__ import annotations

import math
from dataclasses import replace

from firstcrop.bank.undercooling import undercooling_of
from firstcrop.forecast.bands import Bands
from firstcrop.forecast.context import Ground
from firstcrop.forecast.crops import Harvest
from firstcrop.forecast.inside import insides
from firstcrop.forecast.log import Instant, Log
from firstcrop.forecast.measures import dry_gas, own_instants, target_share
from firstcrop.forecast.records import (
    Amounts,
    Crop,
    Fate,
    Influence,
    Moment,
    Number,
    StepForecast,
    Taken,
    Term,
    Trace,
    Working,
)
from firstcrop.forecast.simulate import Run
from firstcrop.forecast.theory import Theory
from firstcrop.forecast.workings import (
    Causes,
    gas_working,
    heat_terms,
    heat_working,
    ph_working,
    temperature_working,
    volume_working,
)
from firstcrop.liquor.system import Floats
from firstcrop.sheet.records import Step

TRACE_AMOUNT = 1e-9  # mol
UNKNOWN = Number(
    math.nan,
    math.nan,
    math.nan,
    "1",
    None,
    "this step works on what was filtered off, not on a vessel",
)


def taken_records(run: Run) -> tuple[Taken, ...]:
    """What the run takes of each material, as it leaves its bottle."""
    return tuple(
        Taken(name.lower(), mass, mass / run.stocks[name.lower()].density)
        for name, mass in run.world.books.taken.items()
        if name.lower() in run.stocks
    )


def step_forecasts(
    ground: Ground, run: Run, bands: Bands, known: dict[int, tuple[Log, StepForecast]] | None = None
) -> tuple[StepForecast, ...]:
    """One a step, in order; a step that touches no vessel has unknown numbers. `known` holds what
    was told before, good for a step whose log is the same one, and is brought up to date."""
    known = {} if known is None else known
    steps = {s.number: s for s in ground.prep.steps}
    found = []
    for log in run.logs:
        if log.step not in steps:
            continue
        old = known.get(log.step)
        if old is None or old[0] is not log:
            told = _step(ground, run, bands, log, steps[log.step])
            known[log.step] = old = (log, told)
        found.append(old[1])
    return tuple(found)


def _step(ground: Ground, run: Run, bands: Bands, log: Log, step: Step) -> StepForecast:
    instants = own_instants(log)
    if not instants:
        return _idle(log, step)
    n = log.step
    pot = run.world.pots.get(log.pot)
    peak = max(instants, key=lambda i: i.foam)
    causes = heat_terms(ground, log.first, log.last, run.pressure)
    return StepForecast(
        number=n,
        place=step.place,
        vessel=log.pot,
        summary=step.text,
        start=_moment(ground, instants[0]),
        end=_moment(ground, instants[-1]),
        duration=instants[-1].time - log.start_time,
        peak_temperature=bands.number(
            ("peak", n), "K", _peak_working(ground, log, causes, run.pressure)
        ),
        lowest_temperature=bands.number(("lowest", n), "K"),
        end_temperature=bands.number(
            ("end", n), "K", temperature_working(log.first, log.last, causes)
        ),
        peak_volume=bands.number(("volume", n), "m3", volume_working(peak)),
        capacity=math.nan if pot is None else pot.hull.capacity,
        end_ph=bands.number(
            ("ph", n),
            "1",
            None if log.last is None else ph_working(log.last, ground),
            "no liquor",
        ),
        gas=_amounts(ground.chem.system.gases, log.gas),
        gas_volume=bands.number(("gas", n), "m3", gas_working(ground, log, run.room, run.pressure)),
        solids=_amounts(ground.chem.system.solids, instants[-1].solids),
        heat=heat_working(causes),
        limits=tuple(log.limits),
        problems=tuple(p for p in run.problems if step.place.line and p.line == step.place.line),
        inside=insides(ground, log),
    )


def _peak_working(
    ground: Ground, log: Log, causes: Causes | None, pressure: float
) -> Working | None:
    """Where the heat of the hottest moment came from; `causes` are those of the whole step."""
    if log.peak is None or abs(log.peak.contents.temperature - log.hottest) >= 1e-9:
        return None
    if log.last is None or log.peak.contents is not log.last.contents:
        causes = heat_terms(ground, log.first, log.peak, pressure)
    return temperature_working(log.first, log.peak, causes)


def _idle(log: Log, step: Step) -> StepForecast:
    nothing = Moment(log.start_time, math.nan, math.nan, math.nan, math.nan)
    return StepForecast(
        number=log.step,
        place=step.place,
        vessel="",
        summary=step.text,
        start=nothing,
        end=nothing,
        duration=0.0,
        peak_temperature=UNKNOWN,
        lowest_temperature=UNKNOWN,
        end_temperature=UNKNOWN,
        peak_volume=UNKNOWN,
        capacity=math.nan,
        end_ph=UNKNOWN,
        gas=Amounts(),
        gas_volume=Number(0.0, 0.0, 0.0, "m3"),
        solids=Amounts(),
        heat=None,
    )


def _amounts(names: tuple[str, ...], amounts: Floats) -> Amounts:
    return Amounts(
        tuple((n, float(a)) for n, a in zip(names, amounts, strict=True) if a > TRACE_AMOUNT)
    )


def _moment(ground: Ground, i: Instant) -> Moment:
    return Moment(
        time=i.time,
        temperature=i.temperature,
        volume=i.volume,
        mass=i.mass,
        ph=i.ph,
        solids=_amounts(ground.chem.system.solids, i.solids),
        gas_rate=i.gas_rate,
        gas_total=i.gas_total,
        foam_volume=i.foam,
    )


def crop_records(
    ground: Ground,
    run: Run,
    harvests: tuple[Harvest, ...],
    bands: Bands,
    best: Theory | None,
) -> tuple[Crop, ...]:
    """Every crop with its numbers and workings."""
    return tuple(
        _late(_crop(h, bands, best, target_share(ground, h), _beginning(run, h)), run, h)
        for h in harvests
    )


def _due(run: Run, h: Harvest) -> float | None:
    """K at which the crop's main solid is first there in cooling; None where it never was away."""
    if h.main < 0:
        return None
    before = [i for log in run.logs if log.step <= h.cake.step for i in own_instants(log)]
    late = None
    for instant in reversed(before[:-1]):
        if instant.solids[h.main] > 0.0:
            late = instant.temperature
        elif late is not None:
            return late
    return None


def _beginning(run: Run, h: Harvest) -> tuple[str, ...]:
    """Where the crop's main solid is due to begin, and how much later it may."""
    due = _due(run, h)
    return () if due is None else (_begins(h.name, due, h.cake.temperature),)


def _late(crop: Crop, run: Run, h: Harvest) -> Crop:
    """A slow starter may be missing from a crop not cooled past its undercooling."""
    due, lag = _due(run, h), undercooling_of(h.name)
    if due is None or not lag.slow or due - lag.high >= h.cake.temperature:
        return crop
    mass, own = crop.dry_mass, dict(crop.composition).get(h.name, 0.0)
    late = Influence(f"{h.name} may not begin without a seed", -own, 0.0)
    low = min(mass.low, max(mass.value - own, 0.0))
    return replace(crop, dry_mass=replace(mass, low=low, influences=(late, *mass.influences)))


def _begins(solid: str, due: float, coldest: float) -> str:
    """When crystals begin, with a seed and without one; whether they may not begin at all."""
    lag = undercooling_of(solid)
    seeded = "" if lag.seeded is None else f"with crystals there {lag.seeded:g} K lower at most; "
    said = (
        f"crystals are due near {due - 273.15:.0f} °C; {seeded}without a seed they may begin "
        f"{lag.bare:.0f} K ({lag.low:.0f} to {lag.high:.0f} K) lower: {lag.obtained.value}"
    )
    if due - lag.high < coldest:
        said += f"; without a seed there may be none at {coldest - 273.15:.0f} °C"
    return said


def _crop(
    h: Harvest, bands: Bands, best: Theory | None, share: float, notes: tuple[str, ...]
) -> Crop:
    name = h.cake.name
    terms = tuple(Term(label, value, "kg", note) for label, value, note in h.terms if value)
    dry = Working(
        h.dry,
        "kg",
        "sum",
        terms,
        "equilibrium at the filter; cake, wash and drying as practice",
        "common-practice",
        notes if h.cake.dried else ("not dried in the sheet: reckoned as dried", *notes),
    )
    fraction = None
    if best is not None and share > 0.0:
        fraction = Working(
            h.dry * share / best.mass,
            "1",
            "product",
            (
                Term("dry crop", h.dry, "kg"),
                Term("part of it that is target", share, "1"),
                Term("1 / theory", 1.0 / best.mass, "1/kg", f"limited by {best.limiting}"),
            ),
        )
    unknown = "" if fraction else "no target, or nothing it could come from"
    return Crop(
        number=h.cake.number,
        step=h.cake.step,
        name=h.name,
        wet_mass=bands.number(("wet", name), "kg"),
        dry_mass=bands.number(("dry", name), "kg", dry),
        composition=h.composition,
        purity=bands.number(("purity", name), "1"),
        yield_fraction=bands.number(("yield", name), "1", fraction, unknown),
        left_in_liquor=bands.number(("left", name), "kg"),
        place=h.cake.place,
    )


def theory_number(best: Theory | None, bands: Bands, molar_mass: float) -> Number | None:
    """Theory in kg with its working; None without a target."""
    if best is None:
        return None
    terms = (
        Term(f"mol of target, by {best.limiting}", best.moles, "mol"),
        Term("molar mass", molar_mass, "kg/mol"),
    )
    notes = tuple(f"{name}: enough for {moles:.5g} mol" for name, moles in best.candidates)
    working = Working(
        best.mass, "kg", "product", terms, "the scarcest part of the target", "", notes
    )
    return bands.number(("theory", ""), "kg", working)


def fate_numbers(bands: Bands) -> tuple[Fate, ...]:
    """Where the target is at the end, the largest part first."""
    found = [Fate(str(key[1]), bands.number(key, "kg")) for key in bands.base if key[0] == "fate"]
    return tuple(sorted(found, key=lambda f: -f.mass.value))


def _dry_rates(rows: list[tuple[Log, Instant]]) -> tuple[float, ...]:
    """The rate of gas at each instant, the part of it that is steam taken off: by what came off
    since the instant before."""
    found: list[float] = []
    last: tuple[int, float, float] = (-1, 0.0, 0.0)
    for log, i in rows:
        _, total, steam = last if last[0] == log.step else (log.step, 0.0, 0.0)
        all_, wet = i.gas_total - total, i.steam - steam
        share = 1.0 - wet / all_ if all_ > 1e-15 else 1.0
        found.append(max(i.gas_rate, 0.0) * min(max(share, 0.0), 1.0))
        last = (log.step, i.gas_total, i.steam)
    return tuple(found)


def trace_of(ground: Ground, run: Run, bands: Bands) -> Trace:
    """The run over time, every instant of every step; gas counts from the start of the run and
    without the steam of boiling."""
    rows = [(log, i) for log in run.logs for i in log.instants]
    before: dict[int, float] = {}
    total = 0.0
    for log in run.logs:
        before[id(log)] = total
        total += dry_gas(log)
    per = 8.31446 * run.room / run.pressure
    system = ground.chem.system
    shown = [
        k
        for k in range(len(system.solids))
        if any(i.solids[k] * system.solid_mass[k] > 1e-7 for _, i in rows)
    ]
    gaps = {log.step: _spread(bands, log.step) for log in run.logs}
    hulls = {name: pot.hull.capacity for name, pot in run.world.pots.items()}
    return Trace(
        time=tuple(i.time for _, i in rows),
        step=tuple(log.step for log, _ in rows),
        vessel=tuple(i.pot for _, i in rows),
        temperature=tuple(i.temperature for _, i in rows),
        temperature_low=tuple(i.temperature - gaps[log.step][0] for log, i in rows),
        temperature_high=tuple(i.temperature + gaps[log.step][1] for log, i in rows),
        volume=tuple(i.volume for _, i in rows),
        foam_volume=tuple(i.foam for _, i in rows),
        capacity=tuple(hulls.get(i.pot, math.nan) for _, i in rows),
        ph=tuple(i.ph for _, i in rows),
        gas_rate=_dry_rates(rows),
        gas_total=tuple((before[id(log)] + i.gas_total - i.steam) * per for log, i in rows),
        solids=tuple(
            (system.solids[k], tuple(float(i.solids[k] * system.solid_mass[k]) for _, i in rows))
            for k in shown
        ),
    )


def _spread(bands: Bands, step: int) -> tuple[float, float]:
    """K below and above that the peak of a step may lie: drawn along the whole step."""
    peak = bands.number(("peak", step), "K")
    if math.isnan(peak.value):
        return 0.0, 0.0
    return peak.value - peak.low, peak.high - peak.value
