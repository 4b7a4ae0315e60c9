"""A forecast made by hand, so that the faces can be tested without an engine.

The numbers are invented to be easy to recognise; nothing here is chemistry.
"""

from __future__ import annotations

import math
from dataclasses import replace

from firstcrop.bank.records import Datum, Obtained
from firstcrop.forecast.records import (
    Amounts,
    Balance,
    BlankAnswer,
    Caution,
    Comparison,
    Crop,
    Forecast,
    Influence,
    Limit,
    Moment,
    Number,
    Resting,
    StepForecast,
    Term,
    Trace,
    Window,
    Working,
)
from firstcrop.problems import Place, Problem, Severity
from firstcrop.sheet.records import Preparation, Step

LINES = (
    "# Alum from cans",
    "",
    "Makes potash alum, KAl(SO4)2·12H2O.",
    "",
    "## Steps",
    "",
    "1. Put 60 mL of water in the beaker.",
    "2. Add 7.0 g of caustic potash in ? portions, keeping below 45 °C.",
    "3. Cool to 4 °C over 45 min.",
    "4. Filter; keep the crystals.",
    "",
    "## Observed",
    "",
    "- crop: 29.8 g",
    "- yield: 70 %",
)
NAN = math.nan
ALUM = "KAl(SO4)2·12H2O"


def number(value: float, half: float, unit: str, working: Working | None = None) -> Number:
    return Number(value, value - half, value + half, unit, working)


UNKNOWN = Number(NAN, NAN, NAN, "1", why="there is no liquor")

PEAK = Working(
    316.85,
    "K",
    "sum",
    (
        Term("temperature at the start", 294.15, "K"),
        Term(
            "heat of dissolving",
            25.0,
            "K",
            data=(
                Datum(
                    -57.61e3, "J/mol", 100.0, Obtained.MEASURED, "nbs82", "p. 2-293", "heat of KOH"
                ),
            ),
        ),
        Term("lost to the room", -2.3, "K", note="in air, 400 mL beaker"),
    ),
    law="enthalpy balance",
    source="nbs82",
    notes=("the surface coefficient is an estimate",),
)


INFLUENCES = (
    Influence("strength of caustic potash", -0.8, 0.75),
    Influence("heat given to the room", 2.2, -2.1),
    Influence("molar mass of water", 1e-6, -1e-6),
)


def moment(time: float, celsius: float, volume: float, ph: float) -> Moment:
    return Moment(time, celsius + 273.15, volume * 1e-6, volume * 1e-3, ph)


def step(number_: int, text: str, start: Moment, end: Moment, **more: object) -> StepForecast:
    plain = StepForecast(
        number=number_,
        place=Place(6 + number_),
        vessel="beaker",
        summary=text,
        start=start,
        end=end,
        duration=end.time - start.time,
        peak_temperature=number(max(start.temperature, end.temperature), 0.4, "K"),
        lowest_temperature=number(min(start.temperature, end.temperature), 0.4, "K"),
        end_temperature=number(end.temperature, 0.4, "K"),
        peak_volume=number(end.volume, 1e-6, "m3"),
        capacity=400e-6,
        end_ph=number(end.ph, 0.05, "1"),
        gas=Amounts(),
        gas_volume=number(0.0, 0.0, "m3"),
        solids=Amounts(),
        heat=None,
    )
    return replace(plain, **more)  # type: ignore[arg-type]


def steps() -> tuple[StepForecast, ...]:
    m0, m1 = moment(0, 21.0, 60, 7.0), moment(60, 21.0, 60, 7.0)
    m2, m3 = moment(900, 41.2, 63, 14.1), moment(3600, 4.0, 64, 2.5)
    heat = Working(
        9500.0, "J", "sum", (Term("dissolving", 10000.0, "J"), Term("to the room", -500.0, "J"))
    )
    return (
        step(1, "put 60 mL of water in the beaker", m0, m1),
        step(
            2,
            "add 7.0 g of caustic potash",
            m1,
            m2,
            peak_temperature=replace(number(316.85, 2.4, "K", PEAK), influences=INFLUENCES),
            limits=(Limit("below 45 °C", 318.15, 316.85, True, Place(8, 53)),),
            gas=Amounts((("H2(g)", 0.056), ("O2(g)", 1e-9))),
            gas_volume=number(1.36e-3, 4e-5, "m3"),
            heat=heat,
        ),
        step(
            3,
            "cool to 4 °C",
            m2,
            m3,
            limits=(Limit("above 5 °C", 278.15, 277.15, False, Place(9, 1)),),
            peak_volume=number(410e-6, 5e-6, "m3"),
        ),
        step(4, "filter", m3, moment(3720, 4.0, 20, NAN), end_ph=UNKNOWN),
    )


def trace() -> Trace:
    times = tuple(float(t) for t in range(0, 3721, 60))
    count = len(times)
    at_step = tuple(1 if t < 60 else 2 if t <= 900 else 3 if t <= 3600 else 4 for t in times)
    warm = tuple(
        294.15 if t < 60 else 294.15 + 22.7 * (t - 60) / 840 if t <= 900
        else 316.85 - 39.7 * min((t - 900) / 2700, 1.0)
        for t in times
    )  # fmt: skip
    alum = tuple(0.0 if t < 1500 else 0.0298 * min((t - 1500) / 2100, 1.0) for t in times)
    gel = tuple(0.004 if 300 <= t <= 1200 else 0.0 for t in times)
    gas = tuple(6e-7 * (t / 900) if t <= 900 else 0.0 for t in times)
    return Trace(
        time=times,
        step=at_step,
        vessel=tuple("beaker" if t <= 3600 else "filtrate" for t in times),
        temperature=warm,
        temperature_low=tuple(t - 2.0 for t in warm),
        temperature_high=tuple(t + 2.0 for t in warm),
        volume=(64e-6,) * count,
        foam_volume=tuple(64e-6 * (1.5 if g else 1.0) for g in gas),
        capacity=(400e-6,) * count,
        ph=tuple(14.1 if t <= 900 else 2.5 if t <= 3600 else NAN for t in times),
        gas_rate=gas,
        gas_total=tuple(min(t / 900, 1.0) * 1.36e-3 for t in times),
        solids=((ALUM, alum), ("Al(OH)3", gel)),
    )


def sample() -> Forecast:
    sheet = Preparation(
        title="Alum from cans",
        target="potash alum",
        target_formula=ALUM,
        makes="Makes potash alum, KAl(SO4)2·12H2O.",
        steps=tuple(
            Step(n, (), LINES[5 + n].split(". ", 1)[1], place=Place(6 + n)) for n in range(1, 5)
        ),
        source_lines=LINES,
    )
    product = Working(
        0.0312, "kg", "product", (Term("moles", 0.0658, "mol"), Term("mass", 0.47439, "kg/mol"))
    )  # fmt: skip
    crop = Crop(
        number=1,
        step=4,
        name=ALUM,
        wet_mass=number(0.0335, 0.0012, "kg"),
        dry_mass=number(0.0312, 0.0008, "kg", product),
        composition=((ALUM, 0.0310), ("K2SO4", 0.0002), ("NaCl", 1e-9)),
        purity=number(0.994, 0.003, "1"),
        yield_fraction=number(0.73, 0.02, "1"),
        left_in_liquor=number(0.0116, 0.0008, "kg"),
        place=Place(10),
    )
    return Forecast(
        preparation=sheet,
        problems=(
            Problem("volume.over", "the beaker holds 400 mL, this needs 410 mL", (Place(9, 4, 4),),
                    "name a larger vessel", Severity.WARNING),
            Problem("name.unknown", "“caustic potsh” is not in the materials", (Place(8, 17, 14),),
                    "write “caustic potash”"),
        ),
        steps=steps(),
        crops=(crop,),
        windows=(Window(3, ALUM, 279.15, 325.15, (("K2SO4", 279.15),)),),
        blanks=(
            BlankAnswer(Place(8, 35), 2, "6 portions", number(6.0, 0.5, "1"),
                        "5 portions would reach 46.2 °C"),
        ),
        comparisons=(
            Comparison("crop: 29.8 g", 0.0298, 0.0298, 0.0298, number(0.0312, 0.0008, "kg"), False,
                       Place(14)),
            Comparison("yield: 70 %", 0.70, 0.65, 0.75, number(0.73, 0.02, "1"), True, Place(15)),
        ),
        cautions=(
            Caution("gas.flammable", Severity.WARNING, "Hydrogen comes off.", "2 Al + 2 KOH → H2",
                    "GHS", "Work by an open window, no flame.", 2, Place(8)),
            Caution("mix.order", Severity.ERROR, "Water would go into acid.", "it may boil",
                    "GHS", "Put the water first.", 1, Place(7), True),
        ),
        not_assessed=("Skin contact was not assessed.",),
        trace=trace(),
        balances=(Balance("K", 1.0, 1.0, 2e-14), Balance("energy", 1.0, 1.0, 1e-12)),
        rests_on=(
            Resting("heat of KOH", "−57.61 kJ/mol", "Wagman, The NBS Tables (1982)", "measured"),
            Resting("drop volume", "0.05 mL", "", "common practice"),
            Resting("solubility of K2SO4 at 20 °C", "11 g/100 g", "", "from memory"),
            Resting("solubility of K2SO4 at −5.5 °C", "7 g/100 g", "", "from memory"),
        ),
        theory=number(0.0427, 0.0004, "kg"),
    )  # fmt: skip
