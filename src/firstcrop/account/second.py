"""Is a further crop worth it? The same sheet, forecast with its liquor boiled down further."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass

from firstcrop.bank.bank import Bank
from firstcrop.forecast.records import Bottle, Forecast
from firstcrop.run import forecast_sheet

PARTS = (0.5, 0.3)  # of the liquor's volume
PURE = 0.97  # below this the further crop is called impure
WORTH = 0.01  # of theory
STEP = re.compile(r"\s{0,3}(\d+)[.)]\s")


@dataclass(frozen=True, slots=True)
class Further:
    """A further crop as forecast."""

    volume: float  # m3 boiled down to
    mass: float  # kg, dry
    purity: float


def further_crop(
    text: str, forecast: Forecast, bank: Bank, bottles: Iterable[Bottle] = ()
) -> tuple[Further, ...]:
    """The further crop at half and at three tenths of the last liquor's volume, where it can be
    computed; empty when the run keeps no liquor or its sheet cannot be gone on with."""
    last = next((s for s in reversed(forecast.steps) if s.vessel and s.end.volume > 0.0), None)
    if last is None or not forecast.crops:
        return ()
    found, shelf = [], tuple(bottles)
    for part in PARTS:
        volume = part * last.end.volume
        longer = _gone_on(text, last.vessel, volume)
        told = forecast_sheet(longer, bank, with_bands=False, bottles=shelf)
        crops = [c for c in told.crops if c.number == len(forecast.crops) + 1]
        wanted = forecast.crops[0].name
        if crops and crops[0].name == wanted and math.isfinite(crops[0].dry_mass.value):
            found.append(Further(volume, crops[0].dry_mass.value, crops[0].purity.value))
    return tuple(found)


def _gone_on(text: str, vessel: str, volume: float) -> str:
    """The sheet with one more step after its last one."""
    lines = text.splitlines()
    inside, last, number = False, 0, 0
    for index, line in enumerate(lines):
        if line.startswith("#"):
            inside = line.lstrip("# ").strip().lower() == "steps"
        elif inside and line.strip():
            last = index
            step = STEP.match(line)
            number = int(step.group(1)) if step else number
    more = (
        f"{number + 1}. Boil down the {vessel} to {volume * 1e6:.3g} mL on a 300 W hotplate. "
        "Cool to 5 °C in an ice bath over 60 min. Filter; keep the crystals. Dry in air."
    )
    return "\n".join([*lines[: last + 1], more, *lines[last + 1 :], ""])


def advice(further: tuple[Further, ...], theory: float, crop: int) -> str:
    """One or two sentences on whether to go on."""
    worth = [f for f in further if f.mass > WORTH * theory]
    pure = [f for f in worth if f.purity >= PURE]
    if not worth:
        dull = f"A crop {crop} is not worth the work: it would be less than 1 % of theory."
        return dull if further else ""
    best = max(pure or worth, key=lambda f: f.mass if pure else f.purity)
    how = f"boiled down to {best.volume * 1e6:.0f} mL and cooled to 5 °C, the liquor would give"
    gives = f"{how} about {best.mass * 1e3:.2g} g, {100 * best.purity:.0f} % pure"
    if pure:
        return f"A crop {crop} is there to be had: {gives}."
    return f"A crop {crop} would be impure: {gives}. Recrystallise it, or leave it."
