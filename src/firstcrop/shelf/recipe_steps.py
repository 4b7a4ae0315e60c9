"""What to do for a stock solution, in order, and the same as a sheet the forecast can run."""

from __future__ import annotations

import math
from dataclasses import replace

from firstcrop.bank.practice import load_practice
from firstcrop.bank.vessels import load_vessels
from firstcrop.quantity.records import Kind
from firstcrop.quantity.show import format_value
from firstcrop.quantity.write import write_strength
from firstcrop.shelf.records import Recipe

ROOM = 293.15  # K
FULL = 1.5  # a beaker this much larger than what goes into it, at least
SLIGHT = 0.002  # of the volume; a smaller change on mixing is not worth telling
FEED = "feed"  # what the sheet calls the content of the bottle


def with_steps(r: Recipe) -> Recipe:
    """The recipe with its steps and its sheet."""
    made = replace(r, steps=_steps(r))
    return replace(made, sheet=_sheet(made))


def _practice(key: str) -> float:
    return load_practice("shelf")[key].value


def _steps(r: Recipe) -> tuple[str, ...]:
    first = r.water_volume * _practice("first_water")
    hot, warm = r.peak > _practice("hot_mixing"), r.peak > _practice("gentle_mixing")
    steps = [_start(r, first, hot), _adding(r, warm)]
    if r.crystals:
        names = ", ".join(f"{mass(m)} of {key}" for key, m in r.crystals)
        told = f"Not all of it dissolves at 20 °C: {names} stays as crystals."
        steps.append(f"{told} Make it weaker, or keep it warm.")
    if hot:
        steps.append(_chilling(r))
    elif r.peak < ROOM - 5.0:
        steps.append(f"It cools to {_degrees(r.peak)} by itself: warm it to 20 °C, stirring.")
    if r.cloudy > 0.0:
        steps.append(
            f"Filter it: about {mass(r.cloudy)} of the bottle's content does not dissolve."
        )
    whole = f"a total of {mass(r.mass)}" if r.by_mass else _volume(r.volume)
    more = f"about {_volume(r.water_volume - first)} more"
    steps.append(f"At 20 °C make up to {whole} with water: {more}.{_shrinking(r)}")
    steps.append(_checking(r))
    return tuple(steps)


def _start(r: Recipe, first: float, hot: bool) -> str:
    bath = ", and stand it in ice and water" if hot else ""
    return f"Put {_volume(first)} of water in a {_volume(_beaker(r))} beaker{bath}."


def _adding(r: Recipe, warm: bool) -> str:
    much = f"{mass(r.feed)} ({_volume(r.feed_volume)})" if r.liquid else mass(r.feed)
    manner = "in portions, stirring, and wait for each to cool" if warm else "and stir"
    never = " Never pour the water onto it." if warm else ""
    return f"Add {much} of {r.bottle} to the water, {manner}.{never}"


def _shrinking(r: Recipe) -> str:
    if not r.liquid or abs(r.contraction) < SLIGHT * r.volume:
        return ""
    word = "less" if r.contraction > 0.0 else "more"
    return f" The mixture fills {_volume(abs(r.contraction))} {word} than its parts did."


def _chilling(r: Recipe) -> str:
    told = f"All at once it would come to {_degrees(r.peak)}"
    if math.isfinite(r.ice):
        return f"{told}: take {mass(r.ice)} of the water as ice, or cool each portion in the bath."
    return f"{told}: there is too little water to take the heat as ice, so cool each portion."


def _checking(r: Recipe) -> str:
    values = ", ".join(f"{d / 1e3:.4f} g/mL at {_degrees(t)}" for t, d in r.densities)
    if not math.isfinite(r.slope):
        return f"Check the density: {values}."
    off = abs(r.slope) * 100.0
    return f"Check the density: {values}; 0.001 g/mL off is {off:.2g} % w/w off."


def mass(value: float) -> str:
    """A mass for the balance: four figures."""
    return format_value(value, Kind.MASS, 4)


def _volume(value: float) -> str:
    return format_value(value, Kind.VOLUME, 3)


def _degrees(value: float) -> str:
    return format_value(value, Kind.TEMPERATURE, 2)


def _beaker(r: Recipe) -> float:
    sizes = sorted(v.nominal for v in load_vessels() if v.form == "low-form beaker")
    return next((s for s in sizes if s >= FULL * r.volume), FULL * r.volume)


def _sheet(r: Recipe) -> str:
    first = r.water_volume * _practice("first_water")
    manner = ""
    if r.peak > _practice("hot_mixing"):
        manner = " in ? portions, keeping below 40 °C, in an ice bath"
    elif r.peak > _practice("gentle_mixing"):
        manner = " over 10 min"
    title = f"{write_strength(r.strength)} {r.substance}"
    return f"""# {title}, {_volume(r.volume)}

A stock solution from the bottle {r.bottle}.

## Materials

| name | substance | bottle |
|---|---|---|
| {FEED} | {r.substance_held or r.substance} | {r.bottle} |

## Vessels

- beaker: {_beaker(r) * 1e6:.4g} mL low-form beaker

## Steps

1. Put {first * 1e6:.4g} mL of water in the beaker.
2. Add {r.feed * 1e3:.5g} g of {FEED}{manner}.
3. {"Cool" if r.peak > ROOM else "Heat"} to 20 °C.
4. Dilute to {r.volume * 1e6:.5g} mL.
"""
