"""Sheets for tests of the forecast: written here, nothing published."""

from __future__ import annotations

from functools import cache

from firstcrop.bank.bank import load_bank
from firstcrop.forecast.pipeline import forecast
from firstcrop.forecast.records import Forecast

ALUM = """# Hardening alum from ring-pulls

Makes potash alum, KAl(SO4)2·12H2O, for hardening gelatin prints.

## Materials

| name | substance | strength | notes |
|---|---|---|---|
| ring-pulls | aluminium | 97 ± 1 % w/w | cleaned, cut small |
| caustic potash | potassium hydroxide | 85 ± 2 % w/w, rest water | |
| dilute acid | sulfuric acid | 30 ± 1 % w/w | |
| wash | ethanol | 50 % v/v | |

## Reactions

- 2 Al + 2 KOH + 6 H2O -> 2 K[Al(OH)4] + 3 H2; half-life 6 min at 70 °C; doubles every 10 °C

## Vessels

- beaker: 400 mL low-form beaker

## Steps

1. Put 60 mL of water in the beaker.
2. Add 7.0 g of caustic potash in ? portions, keeping below 28 °C.
3. Add 2.7 g of ring-pulls over 20 min.
4. Heat to 70 °C and hold for 30 min.
5. Filter; keep the liquor.
6. Add ? mL of dilute acid to pH 2.5 over 15 min, keeping below 80 °C.
7. Cool to 4 °C in an ice bath over 45 min.
8. Filter; keep the crystals. Wash with 15 mL of wash at 4 °C.
9. Dry in air.

## Observed

- after step 3: 52 °C
- crop: 29.8 g
"""

HEAD = """# A test

## Materials

| name | substance | strength | notes |
|---|---|---|---|
| acid | sulfuric acid | 30 % w/w | |
| lye | sodium hydroxide | 2.00 mol/L | |
| muriatic acid | hydrochloric acid | 10 % w/w | |
| spirit | ethanol | 50 % v/v | |

## Vessels

- beaker: 400 mL low-form beaker
- flask: 250 mL conical flask

## Steps

"""


def sheet(*steps: str, head: str = HEAD) -> str:
    """A sheet of these steps."""
    return head + "".join(f"{n}. {text}\n" for n, text in enumerate(steps, 1))


@cache
def told(text: str, with_bands: bool = False) -> Forecast:
    """Its forecast."""
    return forecast(text, load_bank(), with_bands=with_bands)


def run(*steps: str) -> Forecast:
    """The forecast of these steps, without bands."""
    return told(sheet(*steps))


def codes(f: Forecast) -> set[str]:
    """Codes of its problems."""
    return {p.code for p in f.problems}
